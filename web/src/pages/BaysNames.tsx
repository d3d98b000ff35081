// The names of the bays over a view, where they have room.

import { type Frame, toSheet } from "./BaysVehicle";
import type { Bay } from "./baysGeometry";
import { selected } from "./baysState";

interface Name {
  words: string;
  x: number;
  y: number;
}

/** Names over the bays, the selected first and then the nearest, as long as they do not meet. */
function namesOf(f: Frame, nearestFirst: Bay[]): Map<string, Name> {
  const out = new Map<string, Name>();
  const taken: { x0: number; x1: number; y: number }[] = [];
  const front = nearestFirst.find((b) => b.path === selected.value);
  const own = front?.boxes.flatMap((x) => x.corners_m.map((c) => toSheet(f, c))) ?? [];
  const [left, right] = [Math.min(...own.map((p) => p[0])), Math.max(...own.map((p) => p[0]))];
  const [top, foot] = [Math.min(...own.map((p) => p[1])), Math.max(...own.map((p) => p[1]))];
  for (const b of nearestFirst) {
    const all = b.boxes.flatMap((x) => x.corners_m.map((c) => toSheet(f, c)));
    const xs = all.map((p) => p[0]);
    const half = b.name.length * 3.6 + 4;
    const x = Math.min((Math.min(...xs) + Math.max(...xs)) / 2, (f.right ?? Number.POSITIVE_INFINITY) - half);
    const y = Math.min(...all.map((p) => p[1])) - 5;
    // The outline of the selected bay is not written over.
    if (b !== front && x + half > left && x - half < right && y > top && y - 13 < foot) continue;
    if (taken.some((t) => x - half < t.x1 && x + half > t.x0 && Math.abs(y - t.y) < 16)) continue;
    taken.push({ x0: x - half, x1: x + half, y });
    out.set(b.path, { words: b.name, x, y });
  }
  return out;
}

export function BaysNames({ f, nearestFirst }: { f: Frame; nearestFirst: Bay[] }) {
  return (
    <g class="names">
      {[...namesOf(f, nearestFirst)].map(([path, n]) => (
        <text key={path} class={path === selected.value ? "name is-selected" : "name"} x={n.x} y={n.y}>
          {n.words}
        </text>
      ))}
    </g>
  );
}
