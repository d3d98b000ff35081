// Any number opens the sheet that says how it came about.

import { signal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import type { Finding, Input, Working } from "../api/types";

export type Explanation =
  /** A working of the assessment, by its name: "range", "mass.pack". */
  | { kind: "working"; name: string; option?: string }
  | { kind: "finding"; finding: Finding }
  /** A number with a name and a source, as in the stability list. */
  | { kind: "input"; input: Input }
  | { kind: "given"; title: string; working: Working };

/** The sheets that lie open, the newest last. */
export const explained = signal<Explanation[]>([]);

export function explain(e: Explanation) {
  explained.value = [...explained.value, e];
}

/** A number as a button that opens its working. */
export function Explained({
  of,
  label,
  children,
}: {
  of: Explanation;
  label?: string;
  children: ComponentChildren;
}) {
  return (
    <button
      type="button"
      class="explained"
      {...(label ? { "aria-label": label } : {})}
      onClick={() => explain(of)}
    >
      {children}
    </button>
  );
}
