// What is asked for, as text; the server reads it.

import { useState } from "preact/hooks";
import { Page } from "../parts/Sheet";
import { Empty } from "../parts/states";

interface Props {
  label: string;
  now: string;
  placeholder?: string;
  size?: "short" | "long";
  onSend(text: string): void;
}

/** Wish is a field that sends its text when it is left or Enter is pressed. */
export function Wish({ label, now, placeholder, size = "short", onSend }: Props) {
  const [text, setText] = useState(now);
  const send = () => {
    if (text.trim() !== now) onSend(text.trim());
  };
  return (
    <label class={size}>
      {label}
      <input
        type="text"
        value={text}
        spellcheck={false}
        {...(placeholder ? { placeholder } : {})}
        onInput={(e) => setText(e.currentTarget.value)}
        onBlur={send}
        onKeyDown={(e) => {
          if (e.key === "Enter") send();
          else if (e.key === "Escape") setText(now);
        }}
      />
    </label>
  );
}

interface ListProps {
  label: string;
  now: string;
  list: readonly string[];
  onPick(text: string): void;
}

/** Examples is a short list beside a field: picking one sends it. */
export function Examples({ label, now, list, onPick }: ListProps) {
  const other = !list.includes(now);
  return (
    <label>
      {label}
      <select
        value={other ? "" : now}
        onChange={(e) => e.currentTarget.value && onPick(e.currentTarget.value)}
      >
        {other && <option value="">as typed</option>}
        {list.map((x) => (
          <option key={x} value={x}>
            {x}
          </option>
        ))}
      </select>
    </label>
  );
}

/** Life is the choice between cells as bought and at the planned end of life. */
export function Life({ end, onEnd }: { end: boolean; onEnd(end: boolean): void }) {
  return (
    <label>
      Cells
      <select value={end ? "end" : "new"} onChange={(e) => onEnd(e.currentTarget.value === "end")}>
        <option value="new">as bought</option>
        <option value="end">at the end of life</option>
      </select>
    </label>
  );
}

/** NoOption is a page that has nothing to compute with yet. */
export function NoOption({ page, what }: { page: string; what: string }) {
  return (
    <Page title={page}>
      <Empty title={`no option can be ${what} yet`}>
        <p>
          The <a href="/options">options</a> say which packs fit, and why not.
        </p>
      </Empty>
    </Page>
  );
}
