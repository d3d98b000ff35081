// A value of the file, edited in its place. The text goes to the server as
// typed; the server reads it, and says what is wrong with it.

import { useEffect, useId, useRef, useState } from "preact/hooks";
import type { Op } from "../api/types";
import { edit, type Outcome, problemAt, revision } from "../state/store";

type Problem = { message: string; hint?: string };

export interface FieldProps {
  /** Where it is in the file, "donor.added[2].mass". */
  path: string;
  /** As written there; "" when it is not given. */
  text: string;
  /** What it is, for those who do not see the table around it. */
  label: string;
  /** A figure: right aligned, tabular. */
  figure?: boolean;
  placeholder?: string;
  /** What is accepted, shown when the pointer rests on it. */
  hint?: string;
  /** Id of a datalist. */
  list?: string;
  /** Words that are accepted; then it is a choice. */
  oneOf?: readonly string[];
  required?: boolean;
  disabled?: boolean;
  /** Makes the ops of the new text; left out, a set, or a delete when it is emptied and not required. */
  ops?: (text: string) => Op[];
  /** Takes the text instead of the file: for forms that are sent as one. */
  onText?: (text: string) => void;
  /** A problem found elsewhere, for forms. */
  problem?: Problem | null;
  onDone?: (outcome: Outcome) => void;
  /** Enter in a form that is sent as one. */
  onEnter?: () => void;
}

/** The ops that put text at path. */
export function opsFor(path: string, text: string, required: boolean): Op[] {
  return text.trim() === "" && !required ? [{ op: "delete", path }] : [{ op: "set", path, text }];
}

function useFileText(props: FieldProps) {
  const { path, text } = props;
  const [draft, setDraft] = useState(text);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [sending, setSending] = useState(false);
  const base = useRef<number | null>(null);
  const dirty = useRef(false);
  // What the file holds now, also for an edit that began when it held something else.
  const newest = useRef(text);
  newest.current = text;

  // A newer text of the file replaces what nobody is editing.
  useEffect(() => {
    if (!dirty.current) {
      setDraft(text);
      setProblem(null);
    }
  }, [text, path]);

  const begin = () => {
    if (!dirty.current) base.current = revision.peek();
  };
  const type = (value: string) => {
    begin();
    dirty.current = value !== text;
    setDraft(value);
    setProblem(null);
    props.onText?.(value);
  };
  const restore = () => {
    dirty.current = false;
    setDraft(newest.current);
    setProblem(null);
    props.onText?.(newest.current);
  };
  const commit = async (value: string) => {
    if (props.onText || sending || value === text) return;
    setSending(true);
    const ops = props.ops?.(value) ?? opsFor(path, value, props.required ?? false);
    const fault = await edit(ops, base.current ?? undefined);
    setSending(false);
    if (!fault) dirty.current = false;
    else if (fault.kind === "conflict") restore();
    else setProblem(problemAt(fault, path));
    props.onDone?.(fault);
  };
  return { draft, problem: props.problem ?? problem, sending, begin, type, restore, commit };
}

export function Field(props: FieldProps) {
  const f = useFileText(props);
  const id = useId();
  const shared = {
    "aria-label": props.label,
    "aria-invalid": f.problem !== null,
    "aria-busy": f.sending,
    "data-path": props.path,
    ...(f.problem ? { "aria-describedby": id } : {}),
    ...(props.required ? { "aria-required": true } : {}),
    ...(props.hint ? { title: props.hint } : {}),
    disabled: props.disabled ?? false,
    onFocus: f.begin,
  };
  return (
    <span class={props.figure ? "field field-figure" : "field"}>
      {props.oneOf ? (
        <select
          {...shared}
          value={f.draft}
          onChange={(e) => {
            f.type(e.currentTarget.value);
            void f.commit(e.currentTarget.value);
          }}
        >
          {props.required && f.draft !== "" ? null : (
            <option value="">{props.placeholder ?? "not given"}</option>
          )}
          {props.oneOf.includes(f.draft) || f.draft === "" ? null : (
            <option value={f.draft}>{f.draft}</option>
          )}
          {props.oneOf.map((o) => (
            <option key={o} value={o}>
              {o}
            </option>
          ))}
        </select>
      ) : (
        <input
          {...shared}
          type="text"
          spellcheck={false}
          autocomplete="off"
          {...(props.list ? { list: props.list } : {})}
          value={f.draft}
          placeholder={props.placeholder ?? ""}
          onInput={(e) => f.type(e.currentTarget.value)}
          onBlur={(e) => void f.commit(e.currentTarget.value)}
          onKeyDown={(e) => {
            if (e.key === "Enter") {
              if (!props.onText || props.onEnter) e.preventDefault();
              if (props.onEnter) props.onEnter();
              else void f.commit(e.currentTarget.value);
            } else if (e.key === "Escape") {
              e.stopPropagation();
              f.restore();
            }
          }}
        />
      )}
      {f.problem ? (
        <span class="field-problem" id={id} role="alert">
          {f.problem.message}
          {f.problem.hint ? <span class="field-hint">{f.problem.hint}</span> : null}
        </span>
      ) : null}
    </span>
  );
}
