// The first mass ledger: what leaves the vehicle and what comes into it.

import type { Problem } from "../api/types";
import { Field } from "../parts/Field";
import { Sheet } from "../parts/Sheet";
import type { LedgerEntry } from "./newProject";

const axes = ["x rearward", "y left", "z up"];
const titles = { removed: "taken out", added: "put in, without the pack" };

/** Paths of problems that stand beside a field of this ledger. */
export const ledgerPath = /^donor\.(removed|added)\[\d+\]\.(name|mass|at\[[012]\])$/;

interface Props {
  ledger: readonly LedgerEntry[];
  problems: readonly Problem[];
  onChange: (ledger: LedgerEntry[]) => void;
}

interface RowProps {
  entry: LedgerEntry;
  problemOf: (key: string) => Problem | null;
  onEntry: (e: LedgerEntry) => void;
  onRemove: () => void;
}

function Row({ entry: e, problemOf, onEntry, onRemove }: RowProps) {
  const name = e.name || "new item";
  const place = (i: number, text: string): LedgerEntry["at"] => {
    const at: LedgerEntry["at"] = [...e.at];
    at[i] = text;
    return at;
  };
  return (
    <tr>
      <td>
        <Field
          path=""
          text={e.name}
          label={`name of ${name}`}
          problem={problemOf("name")}
          onText={(t) => onEntry({ ...e, name: t })}
        />
      </td>
      <td class="figure">
        <Field
          path=""
          text={e.mass}
          label={`mass of ${name}`}
          figure
          problem={problemOf("mass")}
          onText={(t) => onEntry({ ...e, mass: t })}
        />
      </td>
      {axes.map((a, i) => (
        <td key={a} class="figure">
          <Field
            path=""
            text={e.at[i] ?? ""}
            label={`${a} of ${name}`}
            figure
            problem={problemOf(`at[${i}]`)}
            onText={(t) => onEntry({ ...e, at: place(i, t) })}
          />
        </td>
      ))}
      <td>
        <button type="button" class="take" aria-label={`Leave out ${name}`} onClick={onRemove}>
          Leave out
        </button>
      </td>
    </tr>
  );
}

function List({ list, ledger, problems, onChange }: Props & { list: LedgerEntry["list"] }) {
  const rows = ledger.map((entry, index) => ({ entry, index })).filter(({ entry }) => entry.list === list);
  return (
    <div class="ledger">
      <h3>{titles[list]}</h3>
      <div class="table-wrap">
        <table class="table table-edit ledger-table">
          <caption class="only-read">{titles[list]}</caption>
          <thead>
            <tr>
              <th scope="col">Item</th>
              <th scope="col" class="figure">
                Mass
              </th>
              {axes.map((a) => (
                <th key={a} scope="col" class="figure">
                  {a}
                </th>
              ))}
              <td />
            </tr>
          </thead>
          <tbody>
            {rows.map(({ entry, index }, k) => (
              <Row
                key={index}
                entry={entry}
                problemOf={(key) => problems.find((p) => p.path === `donor.${list}[${k}].${key}`) ?? null}
                onEntry={(e) => onChange(ledger.map((old, i) => (i === index ? e : old)))}
                onRemove={() => onChange(ledger.filter((_, i) => i !== index))}
              />
            ))}
          </tbody>
        </table>
      </div>
      <button
        type="button"
        class="take"
        onClick={() => onChange([...ledger, { list, name: "", mass: "", at: ["0 mm", "0 mm", "0 mm"] }])}
      >
        Add an item {titles[list]}
      </button>
    </div>
  );
}

export function NewLedger(props: Props) {
  return (
    <Sheet
      title="Mass ledger"
      note="places of the centres of gravity: from the front axle line, the centre line and the ground"
      wide
    >
      <div class="ledger-pair">
        <List {...props} list="removed" />
        <List {...props} list="added" />
      </div>
    </Sheet>
  );
}
