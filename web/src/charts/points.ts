// Points of a scatter: which of them stand on the best line, which is under the
// pointer, which is next for the keyboard. Nothing here decides a design: it
// says where ink goes.

export interface Place {
  id: string;
  x: number;
  y: number;
}

/** bestLine returns the points that no other point beats by a greater y at no greater x, by rising x. */
export function bestLine<P extends Place>(points: readonly P[]): P[] {
  const sorted = [...points].sort((a, b) => a.x - b.x || b.y - a.y);
  const out: P[] = [];
  let best = Number.NEGATIVE_INFINITY;
  for (const p of sorted) {
    if (p.y > best) {
      out.push(p);
      best = p.y;
    }
  }
  return out;
}

/** stairs returns the path of the best line in px: level from each point to the next x, then up. */
export function stairs(line: readonly Place[], end: number): string {
  const first = line[0];
  if (!first) return "";
  let d = `M${round(first.x)} ${round(first.y)}`;
  for (const p of line.slice(1)) d += `H${round(p.x)}V${round(p.y)}`;
  return `${d}H${round(end)}`;
}

/** nearest returns the point nearest to the place, in px, and undefined when none is within reach. */
export function nearest<P extends Place>(
  points: readonly P[],
  x: number,
  y: number,
  reach: number,
): P | undefined {
  let found: P | undefined;
  let least = reach * reach;
  for (const p of points) {
    const d = (p.x - x) ** 2 + (p.y - y) ** 2;
    if (d <= least) {
      least = d;
      found = p;
    }
  }
  return found;
}

export type Way = "left" | "right" | "up" | "down";

/** step returns the point that the arrow key leads to: the nearest in a sector of 45° to each side, the sideways distance counting double. */
export function step<P extends Place>(points: readonly P[], from: P, way: Way): P {
  let found = from;
  let least = Number.POSITIVE_INFINITY;
  for (const p of points) {
    const ahead =
      way === "left"
        ? from.x - p.x
        : way === "right"
          ? p.x - from.x
          : way === "up"
            ? from.y - p.y
            : p.y - from.y;
    const aside = way === "left" || way === "right" ? Math.abs(p.y - from.y) : Math.abs(p.x - from.x);
    if (p.id === from.id || !(ahead > 0)) continue;
    // Points outside the sector are reached only when nothing stands in it.
    const cost = ahead + 2 * aside + (aside > ahead ? 1e4 : 0);
    if (cost < least) {
      least = cost;
      found = p;
    }
  }
  return found;
}

export function round(x: number): number {
  return Math.round(x * 100) / 100;
}
