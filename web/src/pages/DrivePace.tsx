// How the option accelerates, climbs and holds: full and nearly empty, warm and cold.

import { address } from "../api/client";
import type { PaceCase, PaceReply } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { CsvLink } from "../parts/Download";
import { Findings } from "../parts/Findings";
import { Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import * as show from "../units/show";

interface Line {
  name: string;
  cell(c: PaceCase): { value: string; by: string };
}

const slope = (x: number) => `${show.fixed(100 * x, 1)}\u00a0%`;

/** linesOf returns what is told of each case, row by row. */
function linesOf(first: PaceCase): Line[] {
  const lines: Line[] = first.sprints.map((s, i) => ({
    name: `0 to ${show.speed(s.to_m_per_s)}`,
    cell: (c) => {
      const x = c.sprints[i];
      if (!x?.reached) return { value: "not reached", by: x?.limited_by ?? "" };
      return { value: `${show.fixed(x.time_s, 1)}\u00a0s`, by: x.limited_by };
    },
  }));
  lines.push(
    {
      name: "top speed, ten seconds",
      cell: (c) => ({ value: show.speed(c.top_speed_m_per_s), by: c.top_speed_limited_by }),
    },
    {
      name: "top speed, ten minutes",
      cell: (c) => ({
        value: show.speed(c.top_speed_ten_minutes_m_per_s),
        by: c.top_speed_ten_minutes_limited_by,
      }),
    },
    {
      name: "hill start",
      cell: (c) => ({ value: slope(c.hill_start_grade), by: c.hill_start_limited_by }),
    },
  );
  first.climbs.forEach((x, i) => {
    const at = show.speed(x.speed_m_per_s);
    lines.push(
      {
        name: `steepest at ${at}`,
        cell: (c) => ({
          value: slope(c.climbs[i]?.steepest_grade ?? 0),
          by: c.climbs[i]?.steepest_limited_by ?? "",
        }),
      },
      {
        name: `95 % of it at ${at} holds for`,
        cell: (c) => {
          const y = c.climbs[i];
          if (!y?.near_steepest_ended_by) return { value: "half an hour or more", by: "" };
          return { value: show.time(y.near_steepest_held_s), by: y.near_steepest_ended_by };
        },
      },
      {
        name: `for ten minutes at ${at}`,
        cell: (c) => ({
          value: slope(c.climbs[i]?.ten_minutes_grade ?? 0),
          by: c.climbs[i]?.ten_minutes_limited_by ?? "",
        }),
      },
    );
  });
  lines.push({
    name: `speed held on ${slope(first.grade)}`,
    cell: (c) => ({ value: show.speed(c.speed_held_on_grade_m_per_s), by: c.speed_held_on_grade_limited_by }),
  });
  return lines;
}

/** DrivePace is the pace as a table: a column for each charge and temperature, under each figure what limits it. */
export function DrivePace({ option, life }: { option: string; life: "new" | "end" }) {
  const query = address("", { option, life });
  const reply = useResource<PaceReply>(`/api/pace${query}`, ["change", "assessed"]);
  return (
    <Sheet
      title="Pace"
      note={life === "end" ? "at the end of life" : "as bought"}
      wide
      tools={<CsvLink table="pace" query={query} />}
    >
      <Loaded of={reply} what="accelerating and climbing">
        {(p) => <Table of={p} />}
      </Loaded>
    </Sheet>
  );
}

function Table({ of: p }: { of: PaceReply }) {
  const first = p.cases[0];
  if (!first) return null;
  return (
    <>
      <DataTable
        caption="Pace"
        quiet
        rows={linesOf(first)}
        rowKey={(l) => l.name}
        columns={[
          { key: "name", head: "Cells", cell: (l: Line) => l.name },
          ...p.cases.map((c, i) => ({
            key: `case-${i}`,
            head: `${show.percent(c.cells_charge)}, ${show.temperature(c.cells_k)}`,
            figure: true,
            cell: (l: Line) => {
              const { value, by } = l.cell(c);
              return (
                <>
                  {value}
                  <span class="limited">{by}</span>
                </>
              );
            },
          })),
        ]}
      />
      <p class="quiet">
        At a test mass of {show.mass(p.test_mass_kg)}. Under each figure: what limits it.
        {first.grip_grade > 0 &&
          ` Grip of the driven axle: up to a grade of ${slope(first.grip_grade)}; the parking brake on the rear axle holds on ${slope(
            first.parking_grade_facing_up,
          )} facing up, ${slope(first.parking_grade_facing_down)} facing down (friction 0.7, assumed).`}
      </p>
      {p.findings.length > 0 && <Findings list={p.findings} caption="Findings on the pace, at half charge" />}
    </>
  );
}
