// What a page says when there is nothing to show, not yet, or not at all.

import type { ComponentChildren } from "preact";
import type { Fault } from "../api/client";
import type { Resource } from "../state/resource";

/** Nothing there, and what to do about it. */
export function Empty({ title, children }: { title: string; children?: ComponentChildren }) {
  return (
    <div class="state">
      <p class="state-title">{title}</p>
      {children}
    </div>
  );
}

/** On its way; says what. */
export function Busy({ what = "loading" }: { what?: string }) {
  return (
    <div class="state state-busy" role="status">
      <p>{what} …</p>
    </div>
  );
}

/** Did not work: the server's words, and a way to try again. */
export function FaultNote({ fault, again }: { fault: Fault; again?: () => void }) {
  return (
    <div class="state state-fault" role="alert">
      <p class="state-title">{fault.message}</p>
      {fault.hint ? <p>{fault.hint}</p> : null}
      {again ? (
        <button type="button" class="button" onClick={again}>
          Try again
        </button>
      ) : null}
    </div>
  );
}

/** What was refused, and what is accepted. */
export function ProblemLine({ problem }: { problem: { message: string; hint?: string } | null }) {
  if (!problem) return null;
  return (
    <span class="field-problem" role="alert">
      {problem.message}
      {problem.hint ? <span class="field-hint">{problem.hint}</span> : null}
    </span>
  );
}

interface LoadedProps<T> {
  of: Resource<T>;
  what?: string;
  children: (data: T) => ComponentChildren;
}

/** A resource in whichever state it is: busy, fault, or its data (marked while newer data are on their way). */
export function Loaded<T>({ of, what, children }: LoadedProps<T>) {
  if (of.data !== null) {
    return (
      <div class={of.busy ? "loaded is-old" : "loaded"} aria-busy={of.busy}>
        {of.fault && of.fault.kind !== "unreachable" ? (
          <FaultNote fault={of.fault} again={of.reload} />
        ) : null}
        {children(of.data)}
      </div>
    );
  }
  // That there is no server stands in the banner.
  if (of.fault && of.fault.kind !== "unreachable") return <FaultNote fault={of.fault} again={of.reload} />;
  return <Busy {...(what === undefined ? {} : { what })} />;
}
