import type { HeatExtreme, HeatReport } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Findings } from "../parts/Findings";
import { Sheet } from "../parts/Sheet";
import { SourceName } from "../parts/WorkingSheet";
import * as show from "../units/show";
import { Fact, Worked } from "./Facts";

/** HeatFigures is what came out of a duty, in numbers and words. */
export function HeatFigures({ run }: { run: HeatReport }) {
  return (
    <Sheet
      title="What came out"
      note={`outside ${show.temperature(run.air_k)}, pack at the start ${show.temperature(run.start_k)}`}
      wide
    >
      <div class="outcome">
        <dl class="facts">
          <Fact name="Hottest group">
            <Worked name="hottest group" of={run.workings}>
              <strong>{show.temperature(run.hottest.temperature_k)}</strong>
            </Worked>
            <Where of={run.hottest} />
          </Fact>
          <Fact name="Coldest group">
            {show.temperature(run.coldest.temperature_k)}
            <Where of={run.coldest} />
          </Fact>
          <Fact name="Largest spread">
            {show.text("temperature difference", Math.round(10 * run.spread_max_k) / 10)} after{" "}
            {show.time(run.spread_max_at_s)}
          </Fact>
          <Fact name="Derated">{derated(run)}</Fact>
          <Fact name="Ended by">
            {run.ended_by}, after {show.time(run.duration_s)}; charge of the weakest group{" "}
            {show.percent(run.cells_charge_end_share)}
          </Fact>
          <Fact name="Given of asked">
            {show.energy(run.given_j)} of {show.energy(run.asked_j)}
          </Fact>
          <Fact name="Heat of the cells">
            <Worked name="heat of the pack" of={run.workings}>
              {show.energy(run.cell_heat_j)}
            </Worked>
            , {show.energy(run.to_surroundings_j)} of it and the heater's to the surroundings
          </Fact>
          {run.power_w > 0 && <Fact name="Power asked at the begin">{show.text("power", run.power_w)}</Fact>}
          {run.coolant_flow_m3_per_s > 0 && (
            <Fact name="Coolant">
              up to {show.text("volume flow", run.coolant_flow_m3_per_s)} at a pump head of{" "}
              {show.text("pressure", run.pump_head_pa)}
            </Fact>
          )}
          <Fact name="Pump, fan, heater, chiller">
            {show.energy(run.cooling_load_j)}
            {run.heater_j > 0 ? `, the heater ${show.energy(run.heater_j)} of it` : ""}
            {run.preheat_s > 0 ? `; preheated in ${show.time(run.preheat_s)}` : ""}
          </Fact>
        </dl>
        <div>
          <h3 class="sub">Findings</h3>
          {run.findings.length === 0 ? (
            <p>None in this duty.</p>
          ) : (
            <Findings list={run.findings} caption="Findings in this duty" />
          )}
          <Assumed run={run} />
        </div>
      </div>
    </Sheet>
  );
}

function Where({ of: e }: { of: HeatExtreme }) {
  return (
    <>
      {" "}
      after {show.time(e.at_s)}: {e.name} (group {e.group})
    </>
  );
}

function derated(run: HeatReport): string {
  if (!run.derated) return "not";
  const who = run.derated_group > 0 ? ` of group ${run.derated_group}` : "";
  return `from ${show.time(run.derated_from_s)}, by the ${run.derated_by}${who}`;
}

/** What the project does not state of its cooling. */
function Assumed({ run }: { run: HeatReport }) {
  if (run.cooling_assumptions.length === 0) return null;
  return (
    <details>
      <summary>{run.cooling_assumptions.length} figures of the cooling were assumed</summary>
      <DataTable
        caption="Assumed for the cooling"
        quiet
        rows={run.cooling_assumptions}
        rowKey={(a) => a.subject}
        columns={[
          { key: "subject", head: "What", cell: (a) => a.subject },
          { key: "value", head: "Value", figure: true, cell: (a) => show.figure(a.value) },
          { key: "source", head: "From", cell: (a) => <SourceName of={a.source} /> },
        ]}
      />
    </details>
  );
}
