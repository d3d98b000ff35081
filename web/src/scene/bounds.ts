// The box around everything that is drawn.
import type { SceneData } from "./data";
import { toView } from "./shapes";

export interface Bounds {
  middle: [number, number, number]; // of the view
  /** Corners from the middle. */
  corners: [number, number, number][];
}

export function boundsOf(d: SceneData): Bounds {
  const points: (readonly number[])[] = [
    [-d.tyreRadius, -d.trackFront / 2, 0],
    [d.wheelbase + d.tyreRadius, d.trackRear / 2, 2 * d.tyreRadius],
    ...d.bays.flatMap((b) => b.boxes.flatMap((x) => x.corners)),
  ];
  if (d.outline) {
    const { front, rear, width, height } = d.outline;
    points.push([-front, -width / 2, 0], [d.wheelbase + rear, width / 2, height]);
  }
  const seen = points.map(toView);
  const low = [0, 1, 2].map((i) => Math.min(...seen.map((p) => p[i] ?? 0)));
  const high = [0, 1, 2].map((i) => Math.max(...seen.map((p) => p[i] ?? 0)));
  const middle = low.map((x, i) => (x + (high[i] ?? 0)) / 2) as [number, number, number];
  const half = high.map((x, i) => (x - (low[i] ?? 0)) / 2);
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].map(
    (c) => half.map((x, i) => ((c >> i) & 1 ? x : -x)) as [number, number, number],
  );
  return { middle, corners };
}
