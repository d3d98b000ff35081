// Where the three views stand on their sheet: first-angle projection, the top under
// the side and the front beside it, or one of them alone.

import type { Bays } from "../api/types";
import type { Frame } from "./BaysVehicle";
import type { Look } from "./baysGeometry";

export type Shown = Look | "all";

export interface Placed extends Frame {
  dimX?: number; // of the chain up
  dimY?: number; // of the chain across
  captionX: number;
  captionY: number;
}

/** How far the vehicle and its bays go: rearward, to either side, up. */
function reachOf(d: Bays) {
  const o = d.outline;
  const r = d.tyre_radius_m;
  const least = d.bays.map((b) => b.least_m);
  const most = d.bays.map((b) => b.greatest_m);
  return {
    front: Math.min(o ? -o.front_m : -r, ...least.map((p) => p[0])),
    rear: Math.max(d.wheelbase_m + (o ? o.rear_m : r), ...most.map((p) => p[0])),
    half: Math.max(
      (o?.width_m ?? d.track_front_m + r) / 2,
      ...least.map((p) => -p[1]),
      ...most.map((p) => p[1]),
    ),
    height: Math.max(o?.height_m ?? 2 * r, ...most.map((p) => p[2])),
  };
}

const MARGIN = 12;
const ASIDE = 46; // left of a view, for a length that has no room between its ends
const DIM = 30; // room for a chain of dimensions
const CAPTION = 20; // room under a view for its caption

/** Places the views for a width in px; the height follows. */
export function layout(d: Bays, shown: Shown, width: number): { views: Placed[]; height: number } {
  const { front, rear, half, height } = reachOf(d);
  const long = rear - front;
  const roof = MARGIN + DIM;
  if (shown !== "all") {
    const across = shown === "front" ? 2 * half : long;
    const k = Math.min((width - MARGIN - ASIDE - 2 * DIM) / across, 330);
    const left = shown === "front" ? (width - k * across) / 2 : ASIDE;
    const x0 = left + (shown === "front" ? k * half : -k * front);
    const y0 = roof + k * (shown === "top" ? half : height);
    const foot = (shown === "top" ? y0 + k * half : y0) + CAPTION;
    const view = {
      look: shown,
      k,
      x0,
      y0,
      dimY: roof - 14,
      dimX: left + k * across + DIM,
      captionX: left,
      captionY: foot,
    };
    return { views: [view], height: foot + MARGIN };
  }
  const between = DIM + 24;
  const k = (width - MARGIN - ASIDE - between) / (long + 2 * half);
  const x0 = ASIDE - k * front;
  const right = ASIDE + k * long;
  const y0 = roof + k * height;
  const dimX = right + DIM - 4;
  const ahead = right + between;
  const down = y0 + CAPTION + 16 + k * half;
  const foot = down + k * half + CAPTION;
  return {
    views: [
      {
        look: "side",
        k,
        x0,
        y0,
        dimY: roof - 14,
        dimX,
        right: dimX - 16,
        captionX: ASIDE,
        captionY: y0 + CAPTION,
      },
      // Its lengths stand beside those of the side view, not in line with them.
      { look: "top", k, x0, y0: down, dimX: dimX + 18, right: dimX - 16, captionX: ASIDE, captionY: foot },
      {
        look: "front",
        k,
        x0: ahead + k * half,
        y0,
        dimY: roof - 14,
        captionX: ahead,
        captionY: y0 + CAPTION,
      },
    ],
    height: foot + MARGIN,
  };
}
