// The ball around everything that is drawn.
import type { SceneData } from "./data";
import { toView } from "./shapes";

export interface Bounds {
  middle: [number, number, number]; // of the view
  radius: number;
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
  const radius = Math.hypot(...high.map((x, i) => x - (low[i] ?? 0))) / 2;
  return { middle, radius };
}
