// Where every group is drawn: elevations of the bays, one for each row of modules
// that stand behind one another. Lengths in metres, in the frame of the bay.

import type { GroupBay, GroupMap, GroupModule } from "../api/types";

/** A rectangle on an elevation: across to the right, up from the floor of the bay. */
export interface Rect {
  x: number;
  y: number;
  width: number;
  height: number;
}
export interface DrawnGroup extends Rect {
  group: number;
  /** the near pole is plus */
  plus: boolean;
}
export interface DrawnModule extends Rect {
  groups: DrawnGroup[];
  string: number;
  terminals: string;
  /** the stack stands upright: groups lie above one another */
  upright: boolean;
  /** counted in the bay, from 1 */
  number: number;
}
export interface Elevation {
  bay: string;
  /** from which side it is seen */
  from: "left" | "front";
  /** counted from the viewer; 0 when there is only one */
  row: number;
  width: number;
  height: number;
  modules: DrawnModule[];
}

type Box = Pick<GroupModule, "at_m" | "size_m">;

/** From the left the bay's x runs to the right; from the front its y. */
function flat(b: Box, from: Elevation["from"]): Rect {
  const axis = from === "left" ? 0 : 1;
  return { x: b.at_m[axis], y: b.at_m[2], width: b.size_m[axis], height: b.size_m[2] };
}

/** How near to the viewer the face of a module is, greater is nearer. */
function near(b: Box, from: Elevation["from"]): number {
  return from === "left" ? b.at_m[1] + b.size_m[1] : -b.at_m[0];
}

/** Rounding of the server's metres. */
const touch = 1e-6;

export function covers(a: Rect, b: Rect): boolean {
  return (
    a.x + touch < b.x + b.width &&
    b.x + touch < a.x + a.width &&
    a.y + touch < b.y + b.height &&
    b.y + touch < a.y + a.height
  );
}

function drawn(m: GroupModule, from: Elevation["from"], number: number): DrawnModule {
  return {
    ...flat(m, from),
    groups: m.groups.map((g) => ({ ...flat(g, from), group: g.group, plus: g.plus_near })),
    string: m.string,
    terminals: m.terminals,
    upright: m.along === "z",
    number,
  };
}

/** elevationsOf returns the elevations of one bay, the nearest row first. A stack that lies across is seen from the front, so that each of its groups shows. */
export function elevationsOf(bay: GroupBay): Elevation[] {
  const out: Elevation[] = [];
  for (const from of ["left", "front"] as const) {
    const rows: DrawnModule[][] = [];
    bay.modules
      .map((m, i) => ({ m, number: i + 1 }))
      .filter(({ m }) => (m.along === "y") === (from === "front"))
      .sort((a, b) => near(b.m, from) - near(a.m, from))
      .forEach(({ m, number }) => {
        const d = drawn(m, from, number);
        const free = rows.find((r) => r.every((o) => !covers(o, d)));
        if (free) free.push(d);
        else rows.push([d]);
      });
    const axis = from === "left" ? 0 : 1;
    rows.forEach((modules, i) => {
      out.push({
        bay: bay.name,
        from,
        row: rows.length > 1 ? i + 1 : 0,
        width: bay.size_m[axis],
        height: bay.size_m[2],
        modules,
      });
    });
  }
  return out;
}

export const elevations = (map: GroupMap): Elevation[] => map.bays.flatMap(elevationsOf);

/** nearest returns the index of the entry of a rising series that is nearest to x. */
export function nearest(series: readonly number[], x: number): number {
  let lo = 0;
  let hi = series.length - 1;
  while (hi - lo > 1) {
    const mid = (lo + hi) >> 1;
    if ((series[mid] ?? 0) <= x) lo = mid;
    else hi = mid;
  }
  return Math.abs((series[lo] ?? 0) - x) <= Math.abs((series[hi] ?? 0) - x) ? lo : hi;
}

/** row returns the figures of all groups at one view. */
export function row(values: readonly number[], count: number, view: number): readonly number[] {
  return values.slice(view * count, (view + 1) * count);
}

/** density maps a figure to ink: the least of the run is light, the greatest dense. */
export function density(value: number, least: number, greatest: number): number {
  const span = greatest - least;
  if (!(span > 0)) return 0.3;
  return 0.06 + 0.54 * Math.min(1, Math.max(0, (value - least) / span));
}

/** least and greatest of a long series. */
export function ends(values: readonly number[]): [number, number] {
  let lo = Number.POSITIVE_INFINITY;
  let hi = Number.NEGATIVE_INFINITY;
  for (const v of values) {
    if (v < lo) lo = v;
    if (v > hi) hi = v;
  }
  return lo <= hi ? [lo, hi] : [0, 0];
}

/** widened spreads two ends about their middle until they are this far apart. */
export function widened([lo, hi]: readonly [number, number], least: number): [number, number] {
  const more = Math.max(0, least - (hi - lo)) / 2;
  return [lo - more, hi + more];
}
