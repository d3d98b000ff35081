// Boxes in a list of a bay, as a table of texts.

import type { Field as FileField } from "../api/types";
import { Field } from "../parts/Field";
import type { Run } from "./BaysRun";

/** Boxes in a list of a bay: what must stay free, or the boxes that make it. */
export function BoxList(p: {
  path: string;
  bay: string;
  what: string;
  field: (p: string) => FileField;
  count: number;
  run: Run;
  least: number;
}) {
  const axes = ["length", "width", "height"];
  const from = ["from its front", "from its right", "from its floor"];
  const cell = (k: number, key: "at" | "size", i: number) => {
    const f = p.field(`${p.path}[${k}].${key}[${i}]`);
    const label = `${p.bay}: ${p.what} ${k + 1}, ${key === "at" ? from[i] : axes[i]}`;
    return (
      <td key={`${key}${i}`} class="figure">
        <Field path={f.path} text={f.text} label={label} figure required />
      </td>
    );
  };
  return (
    <div class="table-wrap">
      <table class="table bays-boxes">
        <caption class="only-read">
          {p.what}s of {p.bay}
        </caption>
        <thead>
          <tr>
            {[...from, ...axes].map((h) => (
              <th key={h} scope="col" class="figure">
                {h}
              </th>
            ))}
            <td />
          </tr>
        </thead>
        <tbody>
          {Array.from({ length: p.count }, (_, k) => (
            <tr key={k}>
              {[0, 1, 2].map((i) => cell(k, "at", i))}
              {[0, 1, 2].map((i) => cell(k, "size", i))}
              <td>
                {p.count <= p.least ? null : (
                  <button
                    type="button"
                    class="button button-plain"
                    aria-label={`Remove ${p.what} ${k + 1} of ${p.bay}`}
                    onClick={() => p.run([{ op: "delete", path: `${p.path}[${k}]` }])}
                  >
                    Remove
                  </button>
                )}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
