// Lines and faces of boxes, in the coordinates of the 3D view: X to the left,
// Y up, Z to the front, so that the frame is right-handed. Corner i of a box has
// bit 0 for its far end in x, bit 1 in y, bit 2 in z.

export type Point = readonly number[];

/** From the vehicle frame (x rearward, y left, z up) to the view. */
export function toView(p: Point): [number, number, number] {
  return [p[1] ?? 0, p[2] ?? 0, -(p[0] ?? 0)];
}

export type Side = "front" | "rear" | "right" | "left" | "bottom" | "top";

/** Corners of each side of a box, going round. */
export const SIDES: Record<Side, readonly [number, number, number, number]> = {
  front: [0, 2, 6, 4],
  rear: [1, 5, 7, 3],
  right: [0, 4, 5, 1],
  left: [2, 3, 7, 6],
  bottom: [0, 1, 3, 2],
  top: [4, 6, 7, 5],
};

const EDGES = [0, 1, 2].flatMap((axis) =>
  [0, 1, 2, 3, 4, 5, 6, 7].filter((i) => !((i >> axis) & 1)).map((i) => [i, i | (1 << axis)] as const),
);

/** The twelve edges as pairs of points, flattened. */
export function edges(corners: Point[]): number[] {
  return EDGES.flatMap(([a, b]) => [...toView(corners[a] ?? []), ...toView(corners[b] ?? [])]);
}

/** Two triangles of one side, flattened. */
export function face(corners: Point[], side: Side): number[] {
  const [a, b, c, d] = SIDES[side].map((i) => toView(corners[i] ?? []));
  return [a, b, c, a, c, d].flatMap((p) => p ?? []);
}

/** Slanting lines over one side, `apart` metres from each other, as pairs of points. */
export function hatch(corners: Point[], side: Side, apart: number): number[] {
  const [a, b, , d] = SIDES[side].map((i) => toView(corners[i] ?? []));
  if (!a || !b || !d) return [];
  const u = b.map((x, i) => x - (a[i] ?? 0));
  const v = d.map((x, i) => x - (a[i] ?? 0));
  const lu = Math.hypot(...u);
  const lv = Math.hypot(...v);
  if (lu < 1e-6 || lv < 1e-6) return [];
  const at = (s: number, t: number) => a.map((x, i) => x + ((u[i] ?? 0) * s) / lu + ((v[i] ?? 0) * t) / lv);
  const out: number[] = [];
  const step = apart * Math.SQRT2;
  const lines = Math.min(400, Math.floor((lu + lv) / step));
  for (let k = 1; k <= lines; k++) {
    const c = k * step;
    const s0 = Math.min(c, lu);
    const t1 = Math.min(c, lv);
    out.push(...at(s0, c - s0), ...at(c - t1, t1));
  }
  return out;
}

/** A wheel at (x, y) of the vehicle frame, standing on the ground: two rims with their tread. */
export function wheel(x: number, y: number, radius: number, width: number): number[] {
  const out: number[] = [];
  const around = 40;
  const point = (i: number, r: number, side: number) => {
    const a = (i / around) * 2 * Math.PI;
    return toView([x + r * Math.cos(a), y + (side * width) / 2, radius + r * Math.sin(a)]);
  };
  for (const side of [-1, 1]) {
    for (const r of [radius, radius * 0.62, radius * 0.14]) {
      for (let i = 0; i < around; i++) out.push(...point(i, r, side), ...point(i + 1, r, side));
    }
  }
  for (let i = 0; i < around; i += 5) out.push(...point(i, radius, -1), ...point(i, radius, 1));
  return out;
}

/** A dashed line as pairs of points of the view. */
export function dashes(from: Point, to: Point, dash: number, space: number): number[] {
  const a = toView(from);
  const b = toView(to);
  const length = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
  const out: number[] = [];
  const at = (s: number) => a.map((x, i) => x + ((b[i] ?? 0) - x) * Math.min(1, s / length));
  for (let s = 0; s < length && out.length < 6000; s += dash + space) out.push(...at(s), ...at(s + dash));
  return out;
}
