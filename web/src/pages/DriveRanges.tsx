import { address } from "../api/client";
import type { DriveReport, Performance, Ranges } from "../api/types";
import { Split } from "../charts/Split";
import { DataTable } from "../parts/DataTable";
import { CsvLink } from "../parts/Download";
import { Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import * as show from "../units/show";

interface Props {
  option: string;
  life: "new" | "end";
  now: string;
  onPick(schedule: string): void;
}

/** DriveRanges is the range on every schedule, as figures and bars; picking one drives it. */
export function DriveRanges({ option, life, now, onPick }: Props) {
  const query = address("", { option, life });
  const reply = useResource<Ranges>(`/api/ranges${query}`, ["change", "assessed"]);
  return (
    <Sheet
      title="Range on each schedule"
      note={life === "end" ? "at the end of life, from full to empty" : "as bought, from full to empty"}
      wide
      tools={<CsvLink table="ranges" query={query} />}
    >
      <Loaded of={reply} what="driving every schedule">
        {(r) => (
          <div class="ranges">
            <Table runs={r.runs} now={now} onPick={onPick} />
          </div>
        )}
      </Loaded>
    </Sheet>
  );
}

function Table({
  runs,
  now,
  onPick,
}: {
  runs: readonly DriveReport[];
  now: string;
  onPick(schedule: string): void;
}) {
  const far = show.scale(
    "length",
    runs.map((r) => r.distance_m),
  );
  const most = runs.reduce((m, r) => Math.max(m, r.distance_m), 1);
  const per = show.scale(
    "consumption",
    runs.flatMap((r) => (r.performance ? [r.performance.terminals_j_per_m, r.performance.wall_j_per_m] : [])),
  );
  const from = (r: DriveReport, of: (p: Performance) => number) =>
    r.performance ? of(r.performance) : Number.NaN;
  return (
    <DataTable
      caption="Range on each schedule"
      quiet
      rows={runs}
      rowKey={(r) => r.schedule}
      onPick={(r) => onPick(r.schedule)}
      picked={(r) => r.schedule === now}
      sorted="-range"
      columns={[
        { key: "title", head: "Schedule", cell: (r) => r.schedule_title, sort: (r) => r.schedule_title },
        {
          key: "range",
          head: "Range",
          unit: far.unit,
          figure: true,
          cell: (r) => (r.error ? "–" : far.text(r.distance_m)),
          sort: (r) => r.distance_m,
        },
        { key: "bar", head: "Share of the furthest", cell: (r) => <Split shares={[r.distance_m / most]} /> },
        {
          key: "terminals",
          head: "Terminals",
          unit: per.unit,
          figure: true,
          cell: (r) => per.text(from(r, (p) => p.terminals_j_per_m)),
          sort: (r) => from(r, (p) => p.terminals_j_per_m) || 0,
        },
        {
          key: "wall",
          head: "Wall",
          unit: per.unit,
          figure: true,
          cell: (r) => per.text(from(r, (p) => p.wall_j_per_m)),
          sort: (r) => from(r, (p) => p.wall_j_per_m) || 0,
        },
        {
          key: "low",
          head: "Lowest",
          unit: "V",
          figure: true,
          cell: (r) =>
            show.fixed(
              from(r, (p) => p.voltage_min_v),
              0,
            ),
        },
        {
          key: "peak",
          head: "Peak, 10 s",
          unit: "A",
          figure: true,
          cell: (r) =>
            show.fixed(
              from(r, (p) => p.current_peak_10s_a),
              0,
            ),
        },
        {
          key: "ended",
          head: "Ended by",
          cell: (r) =>
            r.error ||
            `${r.performance?.ended_by ?? ""}${r.capped_share_of_time > 0 ? "; schedule lowered" : ""}`,
        },
      ]}
    />
  );
}
