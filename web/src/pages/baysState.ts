// What is held, dragged and refused on the page of the bays, shared by its views.

import { computed, signal } from "@preact/signals";
import { edit, problemAt, revision } from "../state/store";
import { type Bay, type Drag, dragged, opsOf } from "./baysGeometry";

/** Path of the selected bay, "bays[0]"; "" for none. */
export const selected = signal("");

interface Held {
  bay: Bay; // as it stood when the drag began
  drag: Drag;
  base: number; // revision in which it stood so
  until: number | null; // the revision that holds the new state, once written
}
/** The drag under way, or just written and not yet answered. */
export const held = signal<Held | null>(null);

/** What Go did not accept: where it would have stood, and why not. */
export const refused = signal<{ bay: Bay; message: string; hint?: string } | null>(null);

export const moving = computed(() => held.value !== null && held.value.until === null);

/** A bay as it is to be drawn: as dragged, until the server's own state has arrived. */
export function shownBay(bay: Bay, of: number): Bay {
  const h = held.value;
  if (h?.bay.path !== bay.path || (h.until !== null && of >= h.until)) return bay;
  return dragged(h.bay, h.drag);
}

/** The newest revision that this page has written: a drag after it builds on it. */
let written = 0;

export function hold(bay: Bay, drag: Drag, base: number): void {
  const h = held.value;
  refused.value = null;
  if (h && h.until === null && h.bay.path === bay.path) held.value = { ...h, drag };
  else held.value = { bay, drag, base: Math.max(base, written), until: null };
}

export function letGo(): void {
  held.value = null;
}

/** Writes the drag; Go checks it. */
export async function drop(): Promise<void> {
  const h = held.value;
  if (!h || h.until !== null) return;
  const ops = opsOf(h.bay, h.drag);
  if (ops.length === 0) {
    held.value = null;
    return;
  }
  held.value = { ...h, until: Number.POSITIVE_INFINITY };
  const fault = await edit(ops, h.base);
  const now = held.value;
  const mine = now !== null && now.bay === h.bay && now.until !== null;
  if (fault) {
    if (mine) held.value = null;
    if (fault.kind !== "conflict")
      refused.value = { bay: dragged(h.bay, h.drag), ...problemAt(fault, ops[0]?.path) };
    return;
  }
  written = revision.value;
  if (mine) held.value = { ...h, until: written };
}
