// A safety finding cannot be switched off: somebody answers for it, by name and with a reason.

import { useState } from "preact/hooks";
import type { Finding } from "../api/types";
import { entryValue } from "../parts/fileTree";
import { edit, problemAt } from "../state/store";

/** One rule may be broken in several places; each is answered for by itself. */
const nameOf = (f: Finding) => `${f.rule} ${f.subject}`;

/** Today, as the file has dates. */
const today = () => new Date().toISOString().slice(0, 10);

export function Acknowledge({ list }: { list: readonly Finding[] }) {
  const [picked, setPicked] = useState("");
  const [by, setBy] = useState("");
  const [reason, setReason] = useState("");
  const [problem, setProblem] = useState<{ message: string; hint?: string } | null>(null);
  const now = list.find((f) => nameOf(f) === picked) ?? list[0];
  if (!now) return null;
  const send = async () => {
    const value = entryValue({ rule: now.rule, subject: now.subject, by, reason, date: today() });
    const fault = await edit([{ op: "insert", path: "acknowledged", value }]);
    setProblem(fault ? problemAt(fault) : null);
    if (!fault) {
      setPicked("");
      setReason("");
    }
  };
  return (
    <form
      class="chooser acknowledge"
      aria-label="Acknowledge a safety finding"
      onSubmit={(e) => {
        e.preventDefault();
        void send();
      }}
    >
      <label>
        Safety finding
        <select value={nameOf(now)} onChange={(e) => setPicked(e.currentTarget.value)}>
          {list.map((f) => (
            <option key={nameOf(f)} value={nameOf(f)}>
              {f.subject}
            </option>
          ))}
        </select>
      </label>
      <label>
        Who answers for it
        <input type="text" required value={by} onInput={(e) => setBy(e.currentTarget.value)} />
      </label>
      <label class="reason">
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
