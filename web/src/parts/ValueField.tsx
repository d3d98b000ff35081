// A value of the file as the server describes it: with its choices, with what
// it may name, and with its reading in the other system of units.

import { useId } from "preact/hooks";
import type { Field as FileField } from "../api/types";
import { units } from "../state/prefs";
import * as show from "../units/show";
import { Field, type FieldProps } from "./Field";
import { choices } from "./fileTree";
import { SuggestionList } from "./SuggestionList";
import { hasSuggestions } from "./suggest";

const american = /(\d|\s)(lb|oz|in|ft|mi|mph|psi|lbf|°F|"|″|'|′)/;

/** What was written in the system that is not preferred, in the one that is; else "". */
export function otherReading(text: string, noun: string, si: number | undefined): string {
  if (si === undefined || text === "") return "";
  const written = american.test(text) ? "us" : "si";
  if (written === units.value) return "";
  const reading = show.text(noun, si);
  return reading.replace(/\s/g, "") === text.replace(/\s/g, "") ? "" : reading;
}

export function accepts(f: { range?: string; spellings?: string[]; noun: string }): string {
  const units = f.spellings && f.spellings.length > 0 ? `a ${f.noun} in ${f.spellings.join(", ")}` : f.noun;
  return f.range ? `${units}; ${f.range}` : units;
}

interface Props extends Omit<FieldProps, "path" | "text" | "list"> {
  of: FileField;
}

export function ValueField({ of: f, ...rest }: Props) {
  const list = useId();
  const named = hasSuggestions(f.path);
  const oneOf = choices(f);
  const reading = otherReading(f.text, f.noun, f.si);
  return (
    <span class="value">
      <Field
        path={f.path}
        text={f.text}
        required={f.required}
        hint={accepts(f)}
        {...(oneOf ? { oneOf } : {})}
        {...(named ? { list } : {})}
        {...rest}
      />
      {reading === "" ? null : <span class="reading">{reading}</span>}
      {named ? <SuggestionList id={list} path={f.path} /> : null}
    </span>
  );
}
