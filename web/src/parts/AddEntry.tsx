// A row of empty values that makes a new entry of a list.

import { useState } from "preact/hooks";
import type { ItemField } from "../api/types";
import { edit, problemAt } from "../state/store";
import { Field } from "./Field";
import { axisNames, choices, entryValue, type ItemKey, isFigure, words } from "./fileTree";
import { accepts } from "./ValueField";

interface Props {
  path: string;
  title: string;
  keys: readonly ItemKey[];
}

interface PartProps {
  part: ItemField;
  label: string;
  text: string;
  onText: (key: string, text: string) => void;
}

function PartField({ part, label, text, onText }: PartProps) {
  const oneOf = choices(part);
  return (
    <Field
      path=""
      text={text}
      label={label}
      required={part.required}
      figure={isFigure(part)}
      placeholder={part.required ? "needed" : ""}
      hint={accepts(part)}
      onText={(t) => onText(part.key, t)}
      {...(oneOf ? { oneOf } : {})}
    />
  );
}

export function AddEntry({ path, title, keys }: Props) {
  const [open, setOpen] = useState(false);
  const [texts, setTexts] = useState<Record<string, string>>({});
  const [problem, setProblem] = useState<{ message: string; hint?: string } | null>(null);
  const add = async () => {
    const fault = await edit([{ op: "insert", path, value: entryValue(texts) }]);
    if (fault) {
      setProblem(problemAt(fault));
      return;
    }
    setProblem(null);
    setTexts({});
    setOpen(false);
  };
  if (!open) {
    return (
      <button type="button" class="take" onClick={() => setOpen(true)}>
        Add to {title}
      </button>
    );
  }
  return (
    <form
      class="add-entry"
      aria-label={`New entry of ${title}`}
      onSubmit={(e) => {
        e.preventDefault();
        void add();
      }}
    >
      {keys.map((k) => (
        <div class="leaf" key={k.key}>
          <span class="leaf-name">
            {words(k.key)}
            {k.parts[0]?.required ? <span class="leaf-needed"> needed</span> : null}
          </span>
          <span class="cell-row">
            {k.parts.map((p, i) => (
              <PartField
                key={p.key}
                part={p}
                label={k.parts.length === 1 ? words(k.key) : `${words(k.key)}, ${axisNames[i] ?? i}`}
                text={texts[p.key] ?? ""}
                onText={(key, t) => setTexts((all) => ({ ...all, [key]: t }))}
              />
            ))}
          </span>
          <span class="leaf-doc">{k.parts[0]?.doc}</span>
        </div>
      ))}
      {problem ? (
        <p class="field-problem" role="alert">
          {problem.message}
          {problem.hint ? <span class="field-hint">{problem.hint}</span> : null}
        </p>
      ) : null}
      <p class="actions">
        <button type="submit" class="button button-strong">
          Add
        </button>
        <button type="button" class="button" onClick={() => setOpen(false)}>
          Leave it
        </button>
      </p>
    </form>
  );
}
