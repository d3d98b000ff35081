// Edits that no field shows the outcome of.

import { useState } from "preact/hooks";
import type { Op } from "../api/types";
import { edit, problemAt, revision } from "../state/store";

export type Run = (ops: Op[]) => Promise<boolean>;

/** Runs edits that no field shows the outcome of, and keeps what was refused. */
export function useRun(): { run: Run; problem: { message: string; hint?: string } | null } {
  const [problem, setProblem] = useState<{ message: string; hint?: string } | null>(null);
  const run: Run = async (ops) => {
    setProblem(null);
    const fault = await edit(ops, revision.peek());
    if (fault && fault.kind !== "conflict") setProblem(problemAt(fault));
    return fault === null;
  };
  return { run, problem };
}
