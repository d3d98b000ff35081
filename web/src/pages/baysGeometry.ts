// Where things of the vehicle lie in the three views, and what a drag on one of
// them would write. Vehicle frame: x rearward, y to the left, z up, metres. The
// frame of a bay starts at its corner and is turned with it.
import type { Op } from "../api/types";

/** A box as the server tells it, its corners in the vehicle frame. */
export interface Box {
  path: string;
  at_m: readonly number[]; // in the frame of the bay
  size_m: readonly number[];
  corners_m: readonly (readonly number[])[];
}

/** What of a bay is drawn. */
export interface Bay {
  path: string;
  name: string;
  at_m: readonly number[];
  axes: readonly (readonly number[])[];
  boxes: readonly Box[];
  keep_outs: readonly Box[];
  places: readonly { corners_m: readonly (readonly number[])[]; terminals: string; module: number }[];
}

export type Vec = [number, number, number];
export type Flat = [number, number];
export type Look = "side" | "top" | "front";

/** Step of a drag and of an arrow key, and of an arrow key with Shift, in metres. */
export const STEP = 0.005;
export const STEP_LARGE = 0.05;

/** What is held while dragging: the whole bay, one end of a box, or a keep-out. */
export type Grip =
  | { kind: "bay" }
  | { kind: "end"; box: number; axis: 0 | 1 | 2; far: boolean }
  | { kind: "keep-out"; index: number };

/** The two coordinates seen from the left, from above or from the front; down is positive. */
export function flat(look: Look, p: readonly number[]): Flat {
  const [x = 0, y = 0, z = 0] = p;
  if (look === "top") return [x, y];
  return look === "front" ? [y, -z] : [x, -z];
}

/** The move in the vehicle frame that a move on the sheet means. */
export function unflat(look: Look, [u, v]: Flat): Vec {
  if (look === "top") return [u, v, 0];
  return look === "front" ? [0, u, -v] : [u, 0, -v];
}

/** The convex outline of points on the sheet, anticlockwise. */
export function hull(points: Flat[]): Flat[] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (list: Flat[]) => {
    const out: Flat[] = [];
    for (const p of list) {
      while (out.length > 1 && turn(out[out.length - 2] as Flat, out[out.length - 1] as Flat, p) <= 1e-12)
        out.pop();
      out.push(p);
    }
    out.pop();
    return out;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

function turn(a: Flat, b: Flat, c: Flat): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

const dot = (a: readonly number[], b: readonly number[]) =>
  (a[0] ?? 0) * (b[0] ?? 0) + (a[1] ?? 0) * (b[1] ?? 0) + (a[2] ?? 0) * (b[2] ?? 0);

export const plus = (a: readonly number[], b: readonly number[], k = 1): Vec => [
  (a[0] ?? 0) + k * (b[0] ?? 0),
  (a[1] ?? 0) + k * (b[1] ?? 0),
  (a[2] ?? 0) + k * (b[2] ?? 0),
];

/** A multiple of the step nearest to d. */
export const snap = (d: number, step = STEP) => Math.round(d / step) * step;

/** The text of a length in millimetres, to a tenth. */
export function mm(m: number): string {
  const tenths = Math.round(m * 1e4);
  return `${tenths === 0 ? 0 : tenths / 10} mm`;
}

/** A bay whose one box is written as size, not in a list of boxes. */
export const isSingle = (bay: Bay) => !(bay.boxes[0]?.path ?? "").includes(".boxes[");

const axisOf = (bay: Bay, i: number): readonly number[] => bay.axes[i] ?? [0, 0, 0];

/** Outward direction on the sheet of one end of a box per metre, null when seen end on. */
export function endDirection(look: Look, bay: Bay, axis: 0 | 1 | 2, far: boolean): Flat | null {
  const [u, v] = flat(look, axisOf(bay, axis));
  if (Math.hypot(u, v) < 0.3) return null;
  return far ? [u, v] : [-u, -v];
}

/** Middle of one end of a box in the vehicle frame: the mean of its four corners. */
export function endMiddle(box: Box, axis: 0 | 1 | 2, far: boolean): Vec {
  let sum: Vec = [0, 0, 0];
  box.corners_m.forEach((c, i) => {
    if (((i >> axis) & 1) === (far ? 1 : 0)) sum = plus(sum, c, 0.25);
  });
  return sum;
}

/** How far a pull on the sheet moves the held end outward, kept so that the box stays. */
export function pulled(look: Look, bay: Bay, grip: Grip & { kind: "end" }, d: Flat, step = STEP): number {
  const dir = endDirection(look, bay, grip.axis, grip.far);
  if (!dir) return 0;
  const by = snap((d[0] * dir[0] + d[1] * dir[1]) / (dir[0] ** 2 + dir[1] ** 2), step);
  const size = bay.boxes[grip.box]?.size_m[grip.axis] ?? 0;
  return Math.max(by, STEP - size);
}

/** A drag: what is held, and how far: a move in the vehicle frame or an end pulled outward. */
export interface Drag {
  bay: string; // path
  grip: Grip;
  move: Vec;
  out: number;
}

const shiftBox = <T extends { corners_m: readonly (readonly number[])[] }>(b: T, d: Vec): T => ({
  ...b,
  corners_m: b.corners_m.map((c) => plus(c, d)),
});

/** The bay as it would stand after the drag, for drawing until Go has answered. */
export function dragged(bay: Bay, drag: Drag): Bay {
  const { grip, move, out } = drag;
  if (grip.kind === "bay") {
    return {
      ...bay,
      at_m: plus(bay.at_m, move),
      boxes: bay.boxes.map((b) => shiftBox(b, move)),
      keep_outs: bay.keep_outs.map((b) => shiftBox(b, move)),
      places: bay.places.map((p) => shiftBox(p, move)),
    };
  }
  if (grip.kind === "keep-out") {
    const keep_outs = bay.keep_outs.map((b, i) =>
      i === grip.index ? { ...shiftBox(b, move), at_m: plus(b.at_m, inBay(bay, move)) } : b,
    );
    return { ...bay, keep_outs };
  }
  const along = axisOf(bay, grip.axis);
  const boxes = bay.boxes.map((b, i) => {
    if (i !== grip.box) return b;
    const size = [...b.size_m] as Vec;
    size[grip.axis] += out;
    const corners = b.corners_m.map((c, k) =>
      ((k >> grip.axis) & 1) === (grip.far ? 1 : 0) ? plus(c, along, grip.far ? out : -out) : c,
    );
    return { ...b, size_m: size, corners_m: corners };
  });
  const moved = !grip.far && isSingle(bay);
  return { ...bay, boxes, at_m: moved ? plus(bay.at_m, along, -out) : bay.at_m };
}

/** A vector of the vehicle frame in the frame of the bay. */
const inBay = (bay: Bay, d: Vec): Vec => [0, 1, 2].map((i) => dot(axisOf(bay, i), d)) as Vec;

/** The edit, in millimetres, that a drag asks for; empty when nothing moved. */
export function opsOf(bay: Bay, drag: Drag): Op[] {
  const { grip, move, out } = drag;
  const ops: Op[] = [];
  const set = (path: string, was: number, by: number) => {
    if (Math.abs(by) > 5e-5) ops.push({ op: "set", path, text: mm(was + by) });
  };
  const each = (path: string, was: readonly number[], by: Vec) =>
    by.forEach((b, i) => {
      set(`${path}[${i}]`, was[i] ?? 0, b);
    });
  if (grip.kind === "bay") each(`${bay.path}.at`, bay.at_m, move);
  else if (grip.kind === "keep-out") {
    const k = bay.keep_outs[grip.index];
    if (k) each(`${k.path}.at`, k.at_m, inBay(bay, move));
  } else {
    const box = bay.boxes[grip.box];
    if (!box) return ops;
    const single = isSingle(bay);
    const path = single ? bay.path : box.path;
    set(`${path}.size[${grip.axis}]`, box.size_m[grip.axis] ?? 0, out);
    if (grip.far) return ops;
    if (!single) {
      set(`${path}.at[${grip.axis}]`, box.at_m[grip.axis] ?? 0, -out);
      return ops;
    }
    // The corner moves, so what is kept free inside must be moved back to stay in place.
    each(`${path}.at`, bay.at_m, plus([0, 0, 0], axisOf(bay, grip.axis), -out));
    for (const k of bay.keep_outs) set(`${k.path}.at[${grip.axis}]`, k.at_m[grip.axis] ?? 0, out);
  }
  return ops;
}
