// A safety finding cannot be switched off: somebody answers for it, by name and with a reason.

import { useState } from "preact/hooks";
import type { Finding } from "../api/types";
import { entryValue } from "../parts/fileTree";
import { edit, problemAt } from "../state/store";

/** Today, as the file has dates. */
const today = () => new Date().toISOString().slice(0, 10);

export function Acknowledge({ list }: { list: readonly Finding[] }) {
  const [rule, setRule] = useState("");
  const [by, setBy] = useState("");
  const [reason, setReason] = useState("");
  const [problem, setProblem] = useState<{ message: string; hint?: string } | null>(null);
  const now = list.find((f) => f.rule === rule) ?? list[0];
  if (!now) return null;
  const send = async () => {
    const value = entryValue({ rule: now.rule, by, reason, date: today() });
    const fault = await edit([{ op: "insert", path: "acknowledged", value }]);
    setProblem(fault ? problemAt(fault) : null);
    if (!fault) {
      setRule("");
      setReason("");
    }
  };
  return (
    <form
      class="acknowledge"
      aria-label="Acknowledge a safety finding"
      onSubmit={(e) => {
        e.preventDefault();
        void send();
      }}
    >
      <label>
        Safety finding
        <select value={now.rule} onChange={(e) => setRule(e.currentTarget.value)}>
          {list.map((f) => (
            <option key={f.rule} value={f.rule}>
              {f.subject}
            </option>
          ))}
        </select>
      </label>
      <label>
        Who answers for it
        <input type="text" required value={by} onInput={(e) => setBy(e.currentTarget.value)} />
      </label>
      <label class="long">
        Why it may stand
        <input type="text" required value={reason} onInput={(e) => setReason(e.currentTarget.value)} />
      </label>
      <button type="submit" class="take">
        Acknowledge
      </button>
      {problem && (
        <p role="alert">
          {problem.message}
          {problem.hint ? `: ${problem.hint}` : ""}
        </p>
      )}
    </form>
  );
}
