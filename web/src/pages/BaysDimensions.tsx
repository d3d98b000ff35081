// Dimension lines of the selected bay: from the axle, the centre line or the
// ground to its near end, and from there to its far end.

import type { Metre } from "../api/types";
import { length } from "../units/show";
import { type Frame, toSheet } from "./BaysVehicle";
import type { Bay } from "./baysGeometry";

interface Chain {
  /** Along the sheet where the stretches end, px, with the lengths between them in metres. */
  ends: number[];
  lengths: number[];
}

/** The two chains of a bay in a view: across the sheet, and up it. */
function chains(f: Frame, bay: Bay): { across: Chain; up: Chain } {
  const corners = bay.boxes.flatMap((b) => b.corners_m);
  const chain = (axis: 0 | 1): Chain => {
    const origin = toSheet(f, [0, 0, 0])[axis];
    const seen = corners.map((c) => toSheet(f, c)[axis]);
    const low = Math.min(...seen);
    const high = Math.max(...seen);
    const inside = low < origin && origin < high;
    const ends = inside ? [low, origin, high] : high <= origin ? [low, high, origin] : [origin, low, high];
    return { ends, lengths: ends.slice(1).map((e, i) => (e - (ends[i] ?? 0)) / f.k) };
  };
  return { across: chain(0), up: chain(1) };
}

const tick = (x: number, y: number) => `M${x - 3.5} ${y + 3.5}L${x + 3.5} ${y - 3.5}`;

/** Where the words of a stretch stand: over it, or beyond its end where it is too short; never off the sheet. */
function put(c: Chain, i: number, words: string, sheet: number): { at: number; anchor: Anchor } {
  const a = c.ends[i] ?? 0;
  const b = c.ends[i + 1] ?? 0;
  const size = words.length * 8 + 6;
  if (b - a > size - 4) return { at: (a + b) / 2, anchor: "middle" };
  return i === 0 && c.lengths.length > 1
    ? { at: Math.max(a - 8, size), anchor: "end" }
    : { at: Math.min(b + 8, sheet - size), anchor: "start" };
}

type Anchor = "start" | "middle" | "end";

/** The stretches of a chain with their words. */
const stretches = (c: Chain, sheet: number) =>
  c.lengths.flatMap((l, i) => {
    if (l < 5e-4) return [];
    const words = length(l as Metre);
    return [{ key: i === 0 ? "first" : "second", words, ...put(c, i, words, sheet) }];
  });

/** A chain across the sheet at height y; the lines to the object end at `from`. */
function Across({ c, y, from, wide }: { c: Chain; y: number; from: number; wide: number }) {
  const a = c.ends[0] ?? 0;
  const b = c.ends.at(-1) ?? 0;
  return (
    <g class="dimension">
      <path
        class="thin"
        d={`M${a - 6} ${y}H${b + 6}${c.ends.map((e) => `M${e} ${y - 4}V${from}`).join("")}`}
      />
      <path d={c.ends.map((e) => tick(e, y)).join("")} />
      {stretches(c, wide).map((s) => (
        <text key={s.key} x={s.at} y={y - 5} text-anchor={s.anchor}>
          {s.words}
        </text>
      ))}
    </g>
  );
}

/** A chain up the sheet at x; its words read from the right. */
function Up({ c, x, from, high }: { c: Chain; x: number; from: number; high: number }) {
  const a = c.ends[0] ?? 0;
  const b = c.ends.at(-1) ?? 0;
  const turned = { start: "end", middle: "middle", end: "start" } as const;
  return (
    <g class="dimension">
      <path
        class="thin"
        d={`M${x} ${a - 6}V${b + 6}${c.ends.map((e) => `M${x + 4} ${e}H${from}`).join("")}`}
      />
      <path d={c.ends.map((e) => tick(x, e)).join("")} />
      {stretches(c, high).map((s) => (
        <text
          key={s.key}
          transform={`translate(${x - 5} ${s.at}) rotate(-90)`}
          text-anchor={turned[s.anchor]}
        >
          {s.words}
        </text>
      ))}
    </g>
  );
}

interface Props {
  f: Frame;
  bay: Bay;
  /** Where the chain across stands, and the chain up. */
  y?: number;
  x?: number;
  /** Size of the sheet, px. */
  wide: number;
  high: number;
}

export function BaysDimensions({ f, bay, x, y, wide, high }: Props) {
  const { across, up } = chains(f, bay);
  const seen = bay.boxes.flatMap((b) => b.corners_m.map((c) => toSheet(f, c)));
  const top = Math.min(...seen.map((p) => p[1]));
  const right = Math.max(...seen.map((p) => p[0]));
  return (
    <g>
      {y === undefined ? null : <Across c={across} y={y} from={top - 2} wide={wide} />}
      {x === undefined ? null : <Up c={up} x={x} from={right + 2} high={high} />}
    </g>
  );
}
