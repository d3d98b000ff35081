// The sheet of the three views, side over top with the front beside it, or one of
// them alone; and how pointer and keys move what is drawn on it.

import { useRef } from "preact/hooks";
import type { Bays } from "../api/types";
import { useWidth } from "../charts/size";
import { BaysDimensions } from "./BaysDimensions";
import { BaysView, type Frame, type ViewEvents } from "./BaysView";
import {
  type Bay,
  type Flat,
  type Grip,
  type Look,
  plus,
  pulled,
  STEP,
  STEP_LARGE,
  snap,
  unflat,
} from "./baysGeometry";
import { drop, held, hold, letGo, refused, selected, shownBay } from "./baysState";

export type Shown = Look | "all";

interface Placed extends Frame {
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
const DIM = 30; // room for a chain of dimensions
const CAPTION = 20; // room under a view for its caption

/** Places the views for a width in px; the height follows. */
function layout(d: Bays, shown: Shown, width: number): { views: Placed[]; height: number } {
  const { front, rear, half, height } = reachOf(d);
  const long = rear - front;
  const roof = MARGIN + DIM;
  if (shown !== "all") {
    const across = shown === "front" ? 2 * half : long;
    const k = Math.min((width - 2 * MARGIN - 2 * DIM) / across, 330);
    const left = shown === "front" ? (width - k * across) / 2 : MARGIN;
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
  const k = (width - 2 * MARGIN - between) / (long + 2 * half);
  const x0 = MARGIN - k * front;
  const right = MARGIN + k * long;
  const y0 = roof + k * height;
  const dimX = right + DIM - 4;
  const ahead = right + between;
  const down = y0 + CAPTION + 16 + k * half;
  const foot = down + k * half + CAPTION;
  return {
    views: [
      { look: "side", k, x0, y0, dimY: roof - 14, dimX, captionX: MARGIN, captionY: y0 + CAPTION },
      { look: "top", k, x0, y0: down, dimX, captionX: MARGIN, captionY: foot },
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

interface Pull {
  look: Look;
  bay: Bay;
  grip: Grip;
  from: Flat;
  k: number;
  begun: boolean;
}

const moves: Record<string, Flat> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};
/** Keys come in bursts; a burst is one edit. */
const REST_MS = 450;

/** The far or near end of the first box that lies in the direction of a key. */
function endTowards(look: Look, bay: Bay, way: Flat): (Grip & { kind: "end" }) | null {
  for (const axis of [0, 1, 2] as const) {
    for (const far of [true, false]) {
      const grip = { kind: "end" as const, box: 0, axis, far };
      if (pulled(look, bay, grip, way, 0.5) > 0.4) return grip;
    }
  }
  return null;
}

/** Pointer and keys on the sheet. */
function useHands(d: Bays, views: Placed[]) {
  const pull = useRef<Pull | null>(null);
  const rest = useRef<ReturnType<typeof setTimeout>>(undefined);
  const finish = () => {
    clearTimeout(rest.current);
    void drop();
  };
  const on: ViewEvents = {
    onGrip: (e, look, bay, grip) => {
      if (e.button !== 0) return;
      const was = selected.value;
      selected.value = bay.path;
      // A finger that was not meant for this bay scrolls the page; the first tap selects.
      if (e.pointerType === "touch" && was !== bay.path) return;
      const k = views.find((v) => v.look === look)?.k ?? 1;
      const svg = (e.currentTarget as SVGElement).ownerSVGElement;
      svg?.setPointerCapture(e.pointerId);
      pull.current = { look, bay, grip, from: [e.clientX, e.clientY], k, begun: false };
    },
    onKey: (e, look, bay) => {
      if (e.key === "Escape") {
        letGo();
        refused.value = null;
        clearTimeout(rest.current);
        return;
      }
      const way = moves[e.key];
      if (!way || e.ctrlKey || e.metaKey) return;
      e.preventDefault();
      const step = e.shiftKey ? STEP_LARGE : STEP;
      const h = held.value;
      const open = h && h.until === null && h.bay.path === bay.path ? h : null;
      const start = open?.bay ?? bay;
      const grip = e.altKey ? endTowards(look, bay, way) : ({ kind: "bay" } as const);
      if (!grip) return;
      const same = open && JSON.stringify(open.drag.grip) === JSON.stringify(grip);
      if (open && !same) return; // the other burst ends first
      const by: Flat = [way[0] * step, way[1] * step];
      const move = plus(open?.drag.move ?? [0, 0, 0], unflat(look, by));
      const out = (open?.drag.out ?? 0) + step;
      hold(
        start,
        {
          bay: bay.path,
          grip,
          move: grip.kind === "bay" ? move : [0, 0, 0],
          out: grip.kind === "end" ? out : 0,
        },
        d.revision,
      );
      clearTimeout(rest.current);
      rest.current = setTimeout(finish, REST_MS);
    },
    onKeysEnd: finish,
  };
  const onMove = (e: PointerEvent) => {
    const p = pull.current;
    if (!p) return;
    const by: Flat = [(e.clientX - p.from[0]) / p.k, (e.clientY - p.from[1]) / p.k];
    if (!p.begun && Math.hypot(by[0], by[1]) * p.k < 3) return;
    p.begun = true;
    const snapped: Flat = [snap(by[0]), snap(by[1])];
    const out = p.grip.kind === "end" ? pulled(p.look, p.bay, p.grip, by) : 0;
    const move = p.grip.kind === "end" ? ([0, 0, 0] as const) : unflat(p.look, snapped);
    hold(p.bay, { bay: p.bay.path, grip: p.grip, move: [...move], out }, d.revision);
  };
  const onUp = () => {
    const begun = pull.current?.begun;
    pull.current = null;
    if (begun) finish();
  };
  const onCancel = () => {
    if (pull.current?.begun) letGo();
    pull.current = null;
  };
  const onKeyDown = (e: KeyboardEvent) => {
    if (e.key === "Escape") onCancel();
  };
  return { on, onMove, onUp, onCancel, onKeyDown };
}

export function BaysSheet({ d, shown }: { d: Bays; shown: Shown }) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box as never);
  const { views, height } = layout(d, shown, Math.max(width, 320));
  const hands = useHands(d, views);
  const bays = d.bays.map((b) => shownBay(b, d.revision));
  const chosen = bays.find((b) => b.path === selected.value);
  const label: Record<Look, string> = { side: "from the left", top: "from above", front: "from the front" };
  return (
    <div class="bays-sheet" ref={box}>
      {width === 0 ? null : (
        // biome-ignore lint/a11y/useSemanticElements: a fieldset holds no drawing
        <svg
          data-picture
          viewBox={`0 0 ${width} ${height.toFixed(0)}`}
          width={width}
          height={height.toFixed(0)}
          role="group"
          aria-label="Views of the vehicle with its bays"
          onPointerMove={hands.onMove}
          onPointerUp={hands.onUp}
          onPointerCancel={hands.onCancel}
          onKeyDown={hands.onKeyDown}
        >
          <defs>
            <pattern
              id="bays-hatch"
              width="5"
              height="5"
              patternUnits="userSpaceOnUse"
              patternTransform="rotate(45)"
            >
              <path class="hatch-line" d="M0 0V5" />
            </pattern>
          </defs>
          {views.map((f) => (
            <g key={f.look}>
              <BaysView f={f} d={d} bays={bays} on={hands.on} />
              {chosen ? (
                <BaysDimensions
                  f={f}
                  bay={chosen}
                  {...(f.dimX === undefined ? {} : { x: f.dimX })}
                  {...(f.dimY === undefined ? {} : { y: f.dimY })}
                />
              ) : null}
              <text class="caption" x={f.captionX} y={f.captionY}>
                {label[f.look]}
              </text>
            </g>
          ))}
        </svg>
      )}
    </div>
  );
}
