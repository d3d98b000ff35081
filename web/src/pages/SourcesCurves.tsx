// OCV and pulse resistance over charge, the cells laid over each other. Lines
// are told apart by their dash and named at their end; no colour is needed.

import { useRef, useState } from "preact/hooks";
import type { CurveView, ResistanceCurve } from "../api/types";
import { Axes } from "../charts/Axes";
import { type Axis, extent, linear } from "../charts/scale";
import { useWidth } from "../charts/size";
import { Empty } from "../parts/states";
import { SourceName } from "../parts/WorkingSheet";
import * as show from "../units/show";
import { temperature } from "../units/show";
import "../charts/charts.css";

export interface CurveLine {
  name: string;
  cell: string;
  curves: CurveView;
}
interface Drawn {
  name: string;
  values: readonly number[];
}

const dashes = 4;
const height = 300;
const edge = { left: 56, right: 12, top: 34, bottom: 48 };

function path(
  charge: readonly number[],
  values: readonly number[],
  x: (v: number) => number,
  y: (v: number) => number,
) {
  return charge
    .map((z, i) => `${i === 0 ? "M" : "L"}${x(z).toFixed(1)} ${y(values[i] ?? 0).toFixed(1)}`)
    .join("");
}

interface PlotProps {
  title: string;
  noun: string;
  charge: readonly number[];
  drawn: readonly Drawn[];
  label: string;
  zero?: boolean;
}

function Plot({ title, noun, charge, drawn, label, zero }: PlotProps) {
  const ref = useRef<HTMLDivElement>(null);
  const width = useWidth(ref);
  const all = drawn.flatMap((d) => [...d.values]);
  const unit = show.scale(noun, all);
  const yAxis: Axis = { title, unit: unit.unit, from: unit.from };
  const xAxis: Axis = { title: "charge", unit: "%", from: (z) => 100 * z };
  const sheet = { left: edge.left, right: width - edge.right, top: edge.top, bottom: height - edge.bottom };
  const [least, greatest] = extent(all.map(unit.from));
  const x = linear({ least: 0, greatest: 100, place: [sheet.left, sheet.right], count: 5 });
  const y = linear({
    least,
    greatest,
    place: [sheet.bottom, sheet.top],
    count: 6,
    ...(zero ? { zero } : {}),
  });
  return (
    <div class="chart curves" ref={ref}>
      {width > 0 ? (
        <svg width={width} height={height} role="img" aria-label={label}>
          <Axes sheet={sheet} x={x} y={y} xAxis={xAxis} yAxis={yAxis} />
          {drawn.map((d, i) => (
            <path
              key={d.name}
              class={`curve curve-${i % dashes}`}
              d={path(
                charge,
                d.values,
                (z) => x.at(xAxis.from(z)),
                (v) => y.at(unit.from(v)),
              )}
            />
          ))}
        </svg>
      ) : null}
    </div>
  );
}

const nameOf = (r: ResistanceCurve) => `${temperature(r.temperature_k)}, ${r.life}`;
const charge = (lines: readonly CurveLine[]) => lines[0]?.curves.charge ?? [];

function Key({ lines }: { lines: readonly CurveLine[] }) {
  return (
    <ul class="legend curves-key" aria-label="Key">
      {lines.map((l, i) => (
        <li key={l.name}>
          <svg width="40" height="12" aria-hidden="true">
            <path class={`curve curve-${i % dashes}`} d="M0 6H40" />
          </svg>
          {l.name}: {l.cell}
        </li>
      ))}
    </ul>
  );
}

/** Where the curves come from, and over which temperatures they were measured. */
function Origins({ lines }: { lines: readonly CurveLine[] }) {
  return (
    <ul class="origins">
      {lines.map((l) => {
        const { measured_from_k: from, measured_to_k: to } = l.curves;
        const span =
          from === undefined || to === undefined
            ? ""
            : from === to
              ? `; measured at ${temperature(from)} only, other temperatures are carried over`
              : `; measured from ${temperature(from)} to ${temperature(to)}`;
        return (
          <li key={l.name}>
            {l.name}: <SourceName of={l.curves.source} />
            {span}
          </li>
        );
      })}
    </ul>
  );
}

export function SourcesCurves({ lines }: { lines: readonly CurveLine[] }) {
  const offered = [...new Set(lines.flatMap((l) => l.curves.resistance.map(nameOf)))];
  const [at, setAt] = useState("");
  const [hidden, setHidden] = useState<readonly string[]>([]);
  const chosen = offered.includes(at)
    ? at
    : (offered.find((o) => o.includes("as bought") && o.includes("25")) ?? offered[0] ?? "");
  const seen = lines.filter((l) => !hidden.includes(l.name));
  if (lines.length === 0) return <Empty title="no curves: there is no lot yet" />;
  const resistance = seen.flatMap((l) => {
    const r = l.curves.resistance.find((c) => nameOf(c) === chosen);
    return r ? [{ name: l.name, values: r.resistance_ohm }] : [];
  });
  return (
    <>
      <div class="curves-tools">
        {lines.length > 1
          ? lines.map((l) => (
              <label key={l.name} class="tick-box">
                <input
                  type="checkbox"
                  checked={!hidden.includes(l.name)}
                  onChange={(e) =>
                    setHidden(
                      e.currentTarget.checked ? hidden.filter((h) => h !== l.name) : [...hidden, l.name],
                    )
                  }
                />
                {l.name}
              </label>
            ))
          : null}
        <label class="tick-box">
          resistance at
          <select value={chosen} onChange={(e) => setAt(e.currentTarget.value)}>
            {offered.map((o) => (
              <option key={o} value={o}>
                {o}
              </option>
            ))}
          </select>
        </label>
      </div>
      <Key lines={seen} />
      <div class="curves-pair">
        <Plot
          title="voltage at rest"
          noun="voltage"
          charge={charge(lines)}
          drawn={seen.map((l) => ({ name: l.name, values: l.curves.ocv_v }))}
          label="Voltage at rest over charge"
        />
        <Plot
          title="resistance to a pulse of 10 s"
          noun="resistance"
          charge={charge(lines)}
          drawn={resistance}
          label={`Resistance to a pulse of ten seconds over charge, ${chosen}`}
          zero
        />
      </div>
      <Origins lines={seen} />
    </>
  );
}
