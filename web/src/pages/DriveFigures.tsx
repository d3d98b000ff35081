import { Fault } from "../api/client";
import type { DriveReport } from "../api/types";
import { Findings } from "../parts/Findings";
import { Sheet } from "../parts/Sheet";
import { FaultNote } from "../parts/states";
import * as show from "../units/show";
import { Fact } from "./Facts";

/** DriveFigures is what came out of the run, in numbers and words. */
export function DriveFigures({ run, once }: { run: DriveReport; once: boolean }) {
  const p = run.performance;
  if (!p) return <FaultNote fault={new Fault("failed", run.error ?? "the schedule cannot be driven")} />;
  return (
    <Sheet title="What came out" note={`${run.schedule_title}, ${run.life}, every cell alike`} wide>
      <div class="outcome">
        <dl class="facts">
          <Fact name={once ? "Distance" : "Range"}>
            <strong>{show.distance(run.distance_m)}</strong> in {show.time(run.duration_s)},{" "}
            {show.number(run.cycles, 3)} times the schedule
          </Fact>
          <Fact name="Ended by">{p.ended_by}</Fact>
          <Fact name="Charge at the end">{show.percent(run.charge_end_share)}</Fact>
          <Fact name="At the wheels">{show.consumption(p.wheels_j_per_m)}</Fact>
          <Fact name="At the terminals">{show.consumption(p.terminals_j_per_m)}</Fact>
          <Fact name="From the wall">
            {p.wall_j_per_m > 0 ? show.consumption(p.wall_j_per_m) : "no charger given"}
          </Fact>
          <Fact name="Energy taken out">{show.energy(p.usable_energy_j)}</Fact>
          <Fact name="Voltage">
            {show.voltage(p.voltage_min_v)} … {show.voltage(p.voltage_max_v)}
          </Fact>
          <Fact name="Current, 10 s">
            {show.current(p.current_peak_10s_a)} out, {show.current(p.current_charge_peak_10s_a)} in
          </Fact>
          <Fact name="Current, rms">{show.current(p.current_rms_a)}</Fact>
        </dl>
        <div>
          <HeldBack run={run} />
          <Notes run={run} />
        </div>
      </div>
    </Sheet>
  );
}

/** HeldBack says how often something held the vehicle back. */
function HeldBack({ run }: { run: DriveReport }) {
  const some = run.held_back.filter((h) => h.step_count > 0);
  return (
    <>
      <h3 class="sub">What held the vehicle back</h3>
      {some.length === 0 && run.capped_share_of_time === 0 ? (
        <p>Nothing: it followed the schedule all the way.</p>
      ) : (
        <dl class="facts">
          {some.map((h) => (
            <Fact key={h.name} name={h.name}>
              {show.count(h.step_count)} {h.step_count === 1 ? "step" : "steps"} of the run
            </Fact>
          ))}
          {run.capped_share_of_time > 0 && (
            <Fact name="schedule lowered">
              for {show.percent(run.capped_share_of_time)} of the time, to what the full, warm vehicle can do
            </Fact>
          )}
        </dl>
      )}
    </>
  );
}

function Notes({ run }: { run: DriveReport }) {
  return (
    <>
      {run.schedule_notes.length > 0 && (
        <>
          <h3 class="sub">Notes on the schedule</h3>
          <ul>
            {run.schedule_notes.map((n) => (
              <li key={n}>{n}</li>
            ))}
          </ul>
        </>
      )}
      <h3 class="sub">Findings</h3>
      {run.findings.length === 0 ? (
        <p>None on this schedule.</p>
      ) : (
        <Findings list={run.findings} caption="Findings on this run" />
      )}
    </>
  );
}
