// The coolant round and round, with flow and temperatures at one time.

import { useRef } from "preact/hooks";
import type { CoolantPath, CoolantStage } from "../api/types";
import { useWidth } from "../charts/size";
import * as show from "../units/show";

interface Props {
  of: CoolantPath;
  view: number;
  when: string;
}

const BOX = 60; // px, height of a station
const LANE = 76; // px between branches
const LEAST = 148; // px of a column
const PIPE = 58; // px of a column beside its station
const LETTER = 7; // px of a letter of a name

const degrees = (k: number | undefined) => show.text("temperature", k ?? 0);
const flowText = (q: number | undefined) => show.text("volume flow", q ?? 0);

/** HeatCoolant draws supply, stages with their bays side by side, and the way back through the radiator. */
export function HeatCoolant({ of: c, view, when }: Props) {
  const holder = useRef<HTMLDivElement>(null);
  const width = useWidth(holder);
  const columns = c.stages.length + 2;
  const lines = c.stages.flatMap((s) => s.branches.flatMap((b) => broken(b.bay)));
  const longest = Math.max(...lines.map((l) => l.length));
  const column = Math.max(LEAST, PIPE + 16 + LETTER * longest, Math.min(300, width / columns));
  const lanes = Math.max(...c.stages.map((s) => s.branches.length));
  const middle = 8 + (lanes * LANE) / 2;
  const back = 24 + lanes * LANE;
  const total = c.flow_m3_per_s[view] ?? 0;
  const still = total === 0;
  const heater = c.heater_w[view] ?? 0;
  const chilled = c.chilled_w[view] ?? 0;
  const end = (columns - 1) * column;
  const words = `${when}: ${still ? "the coolant stands still" : `${flowText(total)} flow`}, ${degrees(
    c.coolant_in_k[view],
  )} before the first stage; ${c.stages
    .map(
      (s, i) =>
        `stage ${i + 1}, ${s.branches.map((b) => b.bay).join(" and ")}, ${degrees(s.behind_k[view])} behind it`,
    )
    .join("; ")}`;
  return (
    <div class="coolant" ref={holder}>
      <p class="groups-now">
        {when}: {still ? "the coolant stands still" : flowText(total)}
        {still ? "" : `, pump head ${show.text("pressure", c.pump_head_pa[view] ?? 0)}`}
      </p>
      <svg width={columns * column} height={back + 26} role="img" aria-label={words}>
        <Station x={8} y={middle - BOX / 2} width={column - PIPE} title="pump">
          {heater > 0
            ? `heater ${show.text("power", heater)}`
            : chilled > 0
              ? `chiller ${show.text("power", chilled)}`
              : c.heater || c.chiller
                ? `${[c.heater ? "heater" : "", c.chiller ? "chiller" : ""].filter(Boolean).join(", ")} off`
                : ""}
        </Station>
        <Pipe still={still} d={`M${column - 50} ${middle}H${column}`} />
        <text x={column - 2} y={middle - 8} text-anchor="end">
          {degrees(c.coolant_in_k[view])}
        </text>
        {c.stages.map((s, i) => (
          <Stage
            key={s.branches.map((b) => b.bay).join()}
            of={s}
            view={view}
            x={column * (i + 1)}
            column={column}
            middle={middle}
            still={still}
          />
        ))}
        <Pipe still={still} d={`M${end} ${middle}H${end + 8}`} />
        <Station
          x={end + 8}
          y={middle - BOX / 2}
          width={column - 50}
          title={c.radiator ? "radiator" : "hose"}
        >
          {""}
        </Station>
        <Pipe
          still={still}
          d={`M${end + 8 + (column - PIPE) / 2} ${middle + BOX / 2}V${back}H${8 + (column - PIPE) / 2}V${middle + BOX / 2}`}
        />
        <path
          class="arrow"
          d={`M${columns * column * 0.5} ${back}l9 -5v10z`}
          {...(still ? { "fill-opacity": 0.4 } : {})}
        />
        <text class="small" x={columns * column * 0.5 + 16} y={back + 17}>
          back to the pump
        </text>
      </svg>
    </div>
  );
}

/** broken puts a long name on two lines, at the blank nearest to its middle. */
export function broken(name: string): string[] {
  if (name.length <= 12) return [name];
  const blanks = [...name.matchAll(/ /g)].map((m) => m.index);
  const middle = name.length / 2;
  const at = blanks.sort((a, b) => Math.abs(a - middle) - Math.abs(b - middle))[0];
  return at === undefined ? [name] : [name.slice(0, at), name.slice(at + 1)];
}

function Pipe({ d, still }: { d: string; still: boolean }) {
  return <path class={still ? "pipe still" : "pipe"} d={d} />;
}

function Station({
  x,
  y,
  width,
  title,
  children,
}: {
  x: number;
  y: number;
  width: number;
  title: string;
  children: string;
}) {
  const lines = broken(title);
  return (
    <g>
      <rect class="station" x={x} y={y} width={width} height={BOX} />
      {lines.map((l, i) => (
        <text key={l} x={x + 8} y={y + 18 + 15 * i}>
          {l}
        </text>
      ))}
      {children && (
        <text class="small" x={x + 8} y={y + 20 + 15 * lines.length}>
          {children}
        </text>
      )}
    </g>
  );
}

interface StageProps {
  of: CoolantStage;
  view: number;
  x: number;
  column: number;
  middle: number;
  still: boolean;
}

/** A stage: its bays side by side, from one joint to the next. */
function Stage({ of: s, view, x, column, middle, still }: StageProps) {
  const n = s.branches.length;
  const out = x + column;
  return (
    <g>
      {s.branches.map((b, k) => {
        const y = middle + (k - (n - 1) / 2) * LANE;
        return (
          <g key={b.bay}>
            <Pipe still={still} d={`M${x} ${middle}V${y}H${x + 8}`} />
            <Station x={x + 8} y={y - BOX / 2} width={column - PIPE} title={b.bay}>
              {flowText(b.flow_m3_per_s[view])}
            </Station>
            <Pipe still={still} d={`M${out - 50} ${y}H${out - 47}V${middle}H${out}`} />
          </g>
        );
      })}
      <text x={out - 2} y={middle - 8} text-anchor="end">
        {degrees(s.behind_k[view])}
      </text>
    </g>
  );
}
