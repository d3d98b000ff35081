// The small tables of an assessment.

import type { ComponentChildren } from "preact";
import type { Assessment, Performance } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Explained } from "../parts/Explained";
import { SourceName } from "../parts/WorkingSheet";
import * as show from "../units/show";

interface Props {
  a: Assessment;
}

function Fact({ name, children }: { name: string; children: ComponentChildren }) {
  return (
    <>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </>
  );
}

/** Value opens the working of that name where there is one. */
function Value({ a, name, children }: Props & { name: string; children: ComponentChildren }) {
  if (!a.workings.some((w) => w.name === name)) return <>{children}</>;
  return <Explained of={{ kind: "working", name, option: a.option }}>{children}</Explained>;
}

export function PackFacts({ a }: Props) {
  const { cell: c } = a;
  const health = (h: typeof c.health_as_bought) =>
    `${show.percent(h.capacity_share)} of the capacity, resistance × ${show.number(h.resistance_growth)}`;
  return (
    <dl class="facts">
      <Fact name="Source">
        {a.source}, {a.form}
      </Fact>
      <Fact name="Cells">
        {a.topology}: {c.title}
      </Fact>
      <Fact name="Capacity of a cell">{show.charge(c.capacity_as)}</Fact>
      <Fact name="Health as bought">{health(c.health_as_bought)}</Fact>
      <Fact name="at the end of life">{health(c.health_end_of_life)}</Fact>
      <Fact name="Pulse resistance, 10 s">{show.resistance(c.pulse_resistance_10s_ohm)} each cell</Fact>
      <Fact name="Interconnects">
        <Value a={a} name="resistance">
          {show.resistance(a.interconnect_resistance_ohm)}
        </Value>
      </Fact>
      <Fact name="Curves">
        {c.generic_curve ? "generic, of " : ""}
        <SourceName of={c.curve_source} />
      </Fact>
    </dl>
  );
}

export function WindowLines({ a }: Props) {
  const w = a.window;
  return (
    <dl class="facts">
      <Fact name="Full">
        <Value a={a} name="voltage.full">
          {show.voltage(w.full_v)}
        </Value>
      </Fact>
      <Fact name="Nominal">{show.voltage(w.nominal_v)}, a name only</Fact>
      <Fact name="Lowest charge, at rest">{show.voltage(w.floor_at_rest_v)}</Fact>
      <Fact name="under load, cold and aged">
        <Value a={a} name="voltage.lowest">
          {show.voltage(w.lowest_v)}
        </Value>
      </Fact>
      <Fact name="Discharge end of the cells">{show.voltage(w.discharge_end_v)}</Fact>
    </dl>
  );
}

interface RunRow {
  name: string;
  working?: string;
  text(p: Performance): string;
}

const runRows: RunRow[] = [
  { name: "range", working: "range", text: (p) => show.distance(p.range_m) },
  { name: "usable energy", text: (p) => show.energy(p.usable_energy_j) },
  { name: "at the wheels", text: (p) => show.consumption(p.wheels_j_per_m) },
  { name: "at the terminals", text: (p) => show.consumption(p.terminals_j_per_m) },
  { name: "from the wall", text: (p) => show.consumption(p.wall_j_per_m) },
  { name: "lowest voltage", text: (p) => show.voltage(p.voltage_min_v) },
  { name: "highest voltage", text: (p) => show.voltage(p.voltage_max_v) },
  { name: "current, peak of 10 s", text: (p) => show.current(p.current_peak_10s_a) },
  { name: "current, rms", text: (p) => show.current(p.current_rms_a) },
  { name: "charging peak of 10 s", text: (p) => show.current(p.current_charge_peak_10s_a) },
  { name: "ended by", text: (p) => p.ended_by },
];

export function RunLines({ a }: Props) {
  return (
    <table class="table">
      <caption class="quiet">
        {a.as_bought.schedule}, from full to empty, every cell alike
        {a.as_bought.schedule_capped || a.end_of_life.schedule_capped
          ? "; the schedule was lowered to what the vehicle can do"
          : ""}
      </caption>
      <thead>
        <tr>
          <td />
          <th scope="col" class="figure">
            As bought
          </th>
          <th scope="col" class="figure">
            End of life
          </th>
        </tr>
      </thead>
      <tbody>
        {runRows.map((r) => (
          <tr key={r.name}>
            <th scope="row">{r.name}</th>
            <td class="figure">
              {r.working ? (
                <Value a={a} name={r.working}>
                  {r.text(a.as_bought)}
                </Value>
              ) : (
                r.text(a.as_bought)
              )}
            </td>
            <td class="figure">{r.text(a.end_of_life)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function ModuleLines({ a }: Props) {
  return (
    <DataTable
      caption="Modules of the pack"
      quiet
      rows={a.modules}
      rowKey={(m, i) => `${m.series} ${i}`}
      columns={[
        { key: "what", head: "Module", cell: (m) => `${m.series}S${m.parallel}P`, sort: (m) => m.series },
        { key: "count", head: "Count", figure: true, cell: (m) => show.count(m.count), sort: (m) => m.count },
        {
          key: "size",
          head: "Length × width × height",
          figure: true,
          cell: (m) => [m.length_m, m.width_m, m.height_m].map((x) => show.length(x)).join(" × "),
        },
        {
          key: "mass",
          head: "Mass",
          figure: true,
          cell: (m) => show.mass(m.mass_kg),
          sort: (m) => m.mass_kg,
        },
        {
          key: "handling",
          head: "Full voltage",
          figure: true,
          cell: (m) => show.voltage(m.handling_voltage_v),
          sort: (m) => m.handling_voltage_v,
        },
      ]}
    />
  );
}

export function BayLines({ a }: Props) {
  const kinds = (counts: readonly number[]) =>
    counts
      .map((n, i) => ({ n, m: a.modules[i] }))
      .filter(({ n, m }) => n > 0 && m)
      .map(({ n, m }) => `${n} of ${m?.series}S${m?.parallel}P`)
      .join(", ") || "empty";
  return (
    <DataTable
      caption="What stands in which bay"
      quiet
      rows={a.bays}
      rowKey={(b) => b.name}
      columns={[
        { key: "name", head: "Bay", cell: (b) => b.name },
        { key: "modules", head: "Modules", cell: (b) => kinds(b.modules) },
        {
          key: "mass",
          head: "Mass with box",
          figure: true,
          cell: (b) => show.mass(b.mass_kg),
          sort: (b) => b.mass_kg,
        },
        {
          key: "limit",
          head: "Limit",
          figure: true,
          cell: (b) => (b.mass_limit_kg ? show.mass(b.mass_limit_kg) : "none stated"),
        },
      ]}
    />
  );
}

export function StateLines({ a }: Props) {
  const heavy = show.scale(
    "mass",
    a.vehicle.map((s) => s.mass_kg),
  );
  const long = show.scale(
    "length",
    a.vehicle.flatMap((s) => s.cg_m),
  );
  const kg = (key: string, head: string, of: (s: Assessment["vehicle"][number]) => number) => ({
    key,
    head,
    unit: heavy.unit,
    figure: true,
    cell: (s: Assessment["vehicle"][number]) => heavy.text(of(s)),
    sort: of,
  });
  return (
    <DataTable
      caption="Masses of the vehicle in each state"
      quiet
      rows={a.vehicle}
      rowKey={(s) => s.name}
      columns={[
        { key: "name", head: "State", cell: (s) => s.name },
        kg("mass", "Mass", (s) => s.mass_kg),
        kg("front", "Front axle", (s) => s.axle_front_kg),
        kg("rear", "Rear axle", (s) => s.axle_rear_kg),
        kg("fl", "Front left", (s) => s.wheel_front_left_kg),
        kg("fr", "Front right", (s) => s.wheel_front_right_kg),
        kg("rl", "Rear left", (s) => s.wheel_rear_left_kg),
        kg("rr", "Rear right", (s) => s.wheel_rear_right_kg),
        {
          key: "cg",
          head: "Centre of gravity",
          unit: `${long.unit}: behind the front axle, to the left, above the ground`,
          figure: true,
          cell: (s) => s.cg_m.map((x) => long.text(x)).join(" / "),
        },
      ]}
    />
  );
}
