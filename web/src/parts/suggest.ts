// What can stand in values that name something else: parts, schedules, options.

import { computed, type ReadonlySignal, signal } from "@preact/signals";
import { get } from "../api/client";
import type { Parts, Schedules } from "../api/types";

export interface Suggestion {
  value: string;
  title: string;
}

const kinds: readonly [RegExp, readonly string[]][] = [
  [/^drive\.unit$/, ["drive unit"]],
  [/^drive\.inverter$/, ["inverter"]],
  [/^drive\.charger$/, ["charger"]],
  [/^drive\.converter$/, ["converter"]],
  [/^drive\.stages\[\d*\]\.kind$/, ["stage"]],
  [/^sources\[\d*\]\.part$/, ["cell", "module", "openable module"]],
  [/^sources\[\d*\]\.hardware$/, ["hardware"]],
];

const parts = signal<Parts | null>(null);
const schedules = signal<Schedules | null>(null);
let asked = false;

/** The lists do not change while the page is open, own parts apart, so they are asked for once. */
function askOnce() {
  if (asked) return;
  asked = true;
  get<Parts>("/api/parts").then(
    (p) => {
      parts.value = p;
    },
    () => {
      asked = false;
    },
  );
  get<Schedules>("/api/schedules").then(
    (s) => {
      schedules.value = s;
    },
    () => undefined,
  );
}

/** Whether values at path name something that can be listed. */
export function hasSuggestions(path: string): boolean {
  return path === "targets.schedule" || kinds.some(([at]) => at.test(path));
}

/** What can stand at path; empty until the lists have come. */
export function suggestions(path: string): ReadonlySignal<Suggestion[]> {
  askOnce();
  return computed(() => {
    if (path === "targets.schedule") {
      return (schedules.value?.schedules ?? []).map((s) => ({ value: s.id, title: s.title }));
    }
    const of = kinds.find(([at]) => at.test(path))?.[1] ?? [];
    return (parts.value?.parts ?? [])
      .filter((p) => of.includes(p.kind))
      .map((p) => ({ value: p.id, title: p.title }));
  });
}
