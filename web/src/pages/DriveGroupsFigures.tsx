import type { GroupLimit, GroupReport } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { CsvLink } from "../parts/Download";
import { Findings } from "../parts/Findings";
import { Sheet } from "../parts/Sheet";
import * as show from "../units/show";
import { Fact } from "./Facts";

/** GroupRunFigures is what a run per group found: the extremes and who limited the pack. */
export function GroupRunFigures({ of, query }: { of: GroupReport; query: string }) {
  const run = of.run;
  const apart = of.distance_every_cell_alike_m > 0 && run.distance_m / of.distance_every_cell_alike_m - 1;
  return (
    <Sheet
      title="What came out"
      note={`${run.schedule_title}, ${run.life}, ${show.count(of.groups)} groups, each by itself`}
      wide
      tools={<CsvLink table="limits" query={query} label="limits as CSV" />}
    >
      <div class="outcome">
        <dl class="facts">
          <Fact name="Distance">
            <strong>{show.distance(run.distance_m)}</strong> in {show.time(run.duration_s)};{" "}
            {show.distance(of.distance_every_cell_alike_m)} with every cell alike
            {apart !== false && ` (${show.signed(show.percent(apart))})`}
          </Fact>
          <Fact name="Ended by">{run.performance?.ended_by ?? ""}</Fact>
          <Fact name="Lowest voltage">
            {show.voltage(of.weakest_group_v)}: {of.weakest_group_name} (group {of.weakest_group})
          </Fact>
          <Fact name="Highest voltage">
            {show.voltage(of.strongest_group_v)}: {of.strongest_group_name} (group {of.strongest_group})
          </Fact>
          <Fact name="Hottest">
            {show.temperature(of.hottest_k)}: {of.hottest_group_name} (group {of.hottest_group})
          </Fact>
          <Fact name="Coldest">
            {show.temperature(of.coldest_k)}: {of.coldest_group_name} (group {of.coldest_group})
          </Fact>
          <Fact name="Empties first">
            {of.group_that_empties_first_name} (group {of.group_that_empties_first});{" "}
            {show.energy(of.left_in_other_groups_j)} left in the others
          </Fact>
          <Fact name="Heat of the cells">{show.energy(of.cell_heat_j)}</Fact>
          <Fact name="Groups at the start">
            {of.groups_drawn ? "drawn from what was stated of the source" : "alike"}
            {!of.groups_drawn && of.groups_alike_because !== "" && `: ${of.groups_alike_because}`}
          </Fact>
          {of.temperatures_held && (
            <Fact name="Temperatures">
              held at the ambient
              {of.temperatures_held_because === "" ? "" : `: ${of.temperatures_held_because}`}
            </Fact>
          )}
        </dl>
        <div>
          <h3 class="sub">Who limited what</h3>
          <Limits list={of.limits} />
          <h3 class="sub">Findings</h3>
          {run.findings.length === 0 ? (
            <p>None in this run.</p>
          ) : (
            <Findings list={run.findings} caption="Findings in this run" />
          )}
        </div>
      </div>
      <Events run={of} />
    </Sheet>
  );
}

const who = (group: number, name: string) => (group === 0 ? "the pack" : `${name} (group ${group})`);

function Limits({ list }: { list: readonly GroupLimit[] }) {
  if (list.length === 0) return <p>Nothing: the pack gave and took what was asked, all the way.</p>;
  return (
    <DataTable
      caption="Who limited what"
      quiet
      rows={list}
      rowKey={(l) => `${l.limiter} ${l.charging} ${l.group}`}
      most={8}
      columns={[
        { key: "limiter", head: "Limited by", cell: (l) => `${l.limiter}${l.charging ? ", charging" : ""}` },
        { key: "who", head: "Of", cell: (l) => who(l.group, l.name) },
        { key: "time", head: "For", figure: true, cell: (l) => show.time(l.time_s), sort: (l) => l.time_s },
        { key: "times", head: "Times", figure: true, cell: (l) => show.count(l.times), sort: (l) => l.times },
        {
          key: "first",
          head: "First after",
          figure: true,
          cell: (l) => show.time(l.first_s),
          sort: (l) => l.first_s,
        },
      ]}
    />
  );
}

/** When it was: the longest times, one by one. */
function Events({ run }: { run: GroupReport }) {
  if (run.events.length === 0) return null;
  return (
    <details>
      <summary>
        When: the longest {show.count(run.events.length)} of {show.count(run.event_count)} times
      </summary>
      <DataTable
        caption="When the pack was limited"
        quiet
        rows={run.events}
        rowKey={(e, i) => `${e.from_s} ${e.group} ${i}`}
        most={20}
        columns={[
          {
            key: "from",
            head: "From",
            figure: true,
            cell: (e) => show.time(e.from_s),
            sort: (e) => e.from_s,
          },
          {
            key: "long",
            head: "For",
            figure: true,
            cell: (e) => show.text("time", e.to_s - e.from_s),
            sort: (e) => e.to_s - e.from_s,
          },
          {
            key: "limiter",
            head: "Limited by",
            cell: (e) => `${e.limiter}${e.charging ? ", charging" : ""}`,
          },
          {
            key: "group",
            head: "Group",
            figure: true,
            cell: (e) => (e.group === 0 ? "pack" : e.group),
            sort: (e) => e.group,
          },
          { key: "wanted", head: "Wanted", figure: true, cell: (e) => show.text("power", e.wanted_w) },
          { key: "given", head: "Given", figure: true, cell: (e) => show.text("power", e.given_w) },
        ]}
      />
    </details>
  );
}
