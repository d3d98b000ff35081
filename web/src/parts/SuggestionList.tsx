import { useMemo } from "preact/hooks";
import { suggestions } from "./suggest";

/** What a value may name, offered while it is typed. */
export function SuggestionList({ id, path }: { id: string; path: string }) {
  const offered = useMemo(() => suggestions(path), [path]);
  return (
    <datalist id={id}>
      {offered.value.map((o) => (
        <option key={o.value} value={o.value}>
          {o.title}
        </option>
      ))}
    </datalist>
  );
}
