// How pointer and keys move what is drawn on the sheet of the bays.

import { useRef } from "preact/hooks";
import type { Bays } from "../api/types";
import type { ViewEvents } from "./BaysView";
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
import type { Placed } from "./baysLayout";
import { drop, held, hold, letGo, refused, selected } from "./baysState";

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
export function useHands(d: Bays, views: Placed[]) {
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
      if (e.key === "Enter" || e.key === " ") {
        e.preventDefault();
        selected.value = bay.path;
        return;
      }
      const way = moves[e.key];
      if (!way || e.ctrlKey || e.metaKey) return;
      e.preventDefault();
      selected.value = bay.path;
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
