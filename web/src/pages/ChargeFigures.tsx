import type { ChargeReport, ChargeSpan } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Findings } from "../parts/Findings";
import { Sheet } from "../parts/Sheet";
import * as show from "../units/show";
import { Fact, Worked } from "./Facts";

/** ChargeFigures is what came out of a charge: times, energies, cost, what held it. */
export function ChargeFigures({ run }: { run: ChargeReport }) {
  const by = run.charger ? `${run.supply} by ${run.charger}` : run.supply;
  return (
    <Sheet title="What came out" note={`${by}, ${run.life}${run.heat ? "" : ", temperatures held"}`} wide>
      <div class="outcome">
        <div>
          {run.ran ? (
            <>
              <Spans run={run} />
              <Figures run={run} />
            </>
          ) : (
            <p>It was not charged: the voltages of supply, charger and pack do not go together.</p>
          )}
        </div>
        <div>
          <h3 class="sub">Findings</h3>
          {run.findings.length === 0 ? (
            <p>None on this charge.</p>
          ) : (
            <Findings list={run.findings} caption="Findings on this charge" />
          )}
        </div>
      </div>
    </Sheet>
  );
}

/** A charge to a hundredth of a per cent: one that begins at next to nothing begins at 0 %. */
const charge = (x: number) => show.percent(Math.round(1e4 * x) / 1e4);

function Spans({ run }: { run: ChargeReport }) {
  const priced = run.spans.some((s) => s.cost.si > 0);
  const when = (s: ChargeSpan, text: string) => (s.passed ? text : "–");
  return (
    <DataTable
      caption="Times and energies of the charge"
      quiet
      rows={run.spans}
      rowKey={(s) => `${s.from_share} ${s.to_share}`}
      columns={[
        {
          key: "span",
          head: "Usable charge",
          cell: (s) => `${charge(s.from_share)} to ${charge(s.to_share)}`,
        },
        { key: "time", head: "Time", figure: true, cell: (s) => when(s, show.time(s.duration_s)) },
        { key: "energy", head: "From the supply", figure: true, cell: (s) => when(s, show.energy(s.wall_j)) },
        ...(priced
          ? [
              {
                key: "cost",
                head: "Cost",
                figure: true,
                cell: (s: ChargeSpan) => when(s, show.figure(s.cost)),
              },
            ]
          : []),
      ]}
    />
  );
}

function Figures({ run }: { run: ChargeReport }) {
  return (
    <dl class="facts under">
      <Fact name="Ended by">{run.ended_by}</Fact>
      <Fact name="At what is given">
        <Worked name="time of the charge" of={run.workings}>
          {show.time(run.constant_s)}
        </Worked>
        {run.limited_s > 0 &&
          `, ${show.time(run.limited_s)} at less, held by the ${run.limited_by}${
            run.group > 0 ? ` of group ${run.group}` : ""
          }`}
      </Fact>
      <Fact name="Most from the supply">
        {show.text("power", run.wall_power_max_w)} of{" "}
        <Worked name="power of the supply" of={run.workings}>
          what it gives
        </Worked>
      </Fact>
      <Fact name="Into the pack">
        {show.energy(run.pack_j)}, of which {show.energy(run.stored_j)} stay
      </Fact>
      <Fact name="Supply to pack">
        <Worked name="share of the supply's energy that comes to the pack" of={run.workings}>
          {show.percent(run.efficiency_share)}
        </Worked>
        {run.loads_j > 0 && `; ${show.energy(run.loads_j)} for what is awake`}
      </Fact>
      <Fact name="Most into the pack">{show.current(run.current_max_a)}</Fact>
      <Fact name="Voltage at the end">{show.voltage(run.voltage_end_v)}</Fact>
      <Fact name="Hottest group">{show.temperature(run.hottest_k)}</Fact>
      <Fact name="Of the cells">
        0 % is {show.percent(run.cells_empty_share)}, 100 % is {show.percent(run.cells_full_share)} of their
        charge
      </Fact>
    </dl>
  );
}
