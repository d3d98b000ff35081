// The mass ledger: what leaves the vehicle, what comes into it, what it carries.

import { useState } from "preact/hooks";
import type { Donor, LedgerRow } from "../api/types";
import { CsvLink } from "../parts/Download";
import { Field } from "../parts/Field";
import { entryValue } from "../parts/fileTree";
import { RemoveEntry } from "../parts/ListForm";
import { memo } from "../parts/memo";
import { Sheet } from "../parts/Sheet";
import { otherReading } from "../parts/ValueField";
import { edit, problemAt } from "../state/store";
import * as show from "../units/show";

const axes = ["x rearward", "y left", "z up"];

function Head() {
  return (
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
        <th scope="col">
          <span class="only-read">Remove</span>
        </th>
      </tr>
    </thead>
  );
}

function Reading({ text, noun, si }: { text: string; noun: string; si: number }) {
  const reading = otherReading(text, noun, si);
  return reading === "" ? null : <span class="reading">{reading}</span>;
}

const Row = memo(({ row, onFault }: { row: LedgerRow; onFault: (text: string) => void }) => {
  return (
    <tr>
      <td>
        <Field path={`${row.path}.name`} text={row.name} label={`name of ${row.name}`} required />
      </td>
      <td class="figure">
        <Field
          path={`${row.path}.mass`}
          text={row.mass_text}
          label={`mass of ${row.name}`}
          hint="kg, g, t, lb, oz; a spread behind ±"
          figure
          required
        />
        <Reading text={row.mass_text} noun="mass" si={row.mass_kg} />
      </td>
      {axes.map((a, i) => (
        <td key={a} class="figure">
          <Field
            path={`${row.path}.at[${i}]`}
            text={row.at_text[i] ?? ""}
            label={`${a} of ${row.name}`}
            hint="mm, cm, m, in, ft; from the front axle line, the centre line, the ground"
            figure
            required
          />
          <Reading text={row.at_text[i] ?? ""} noun="length" si={row.at_m[i] ?? 0} />
        </td>
      ))}
      <td>
        <RemoveEntry path={row.path} name={row.name} onFault={onFault} />
      </td>
    </tr>
  );
});

const keys = ["name", "mass", "at[0]", "at[1]", "at[2]"];
const keyNames = ["name", "mass", ...axes];

/** The last row of a list: empty, and written when it is whole. */
function NewRow({ path, list }: { path: string; list: string }) {
  const [texts, setTexts] = useState<Record<string, string>>({});
  const [problem, setProblem] = useState<{ message: string; hint?: string } | null>(null);
  const [cleared, setCleared] = useState(0);
  const empty = keys.every((k) => (texts[k] ?? "") === "");
  const add = async () => {
    const fault = await edit([{ op: "insert", path, value: entryValue(texts) }]);
    setProblem(fault ? problemAt(fault) : null);
    if (fault) return;
    setTexts({});
    setCleared(cleared + 1);
  };
  return (
    <>
      <tr class="new-row" key={cleared}>
        {keys.map((k, i) => (
          <td key={k} class={i === 0 ? undefined : "figure"}>
            <Field
              path=""
              text=""
              label={`${keyNames[i]} of a new item ${list}`}
              placeholder={i === 0 ? "new item" : i === 1 ? "mass" : "0 mm"}
              figure={i > 0}
              onText={(t) => setTexts((all) => ({ ...all, [k]: t }))}
              onEnter={() => void add()}
            />
          </td>
        ))}
        <td>
          <button
            type="button"
            class="take"
            disabled={empty}
            aria-label={`Add to ${list}`}
            onClick={() => void add()}
          >
            Add
          </button>
        </td>
      </tr>
      {problem ? (
        <tr>
          <td colSpan={6}>
            <p class="field-problem" role="alert">
              {problem.message}
              {problem.hint ? <span class="field-hint">{problem.hint}</span> : null}
            </p>
          </td>
        </tr>
      ) : null}
    </>
  );
}

interface ListProps {
  title: string;
  path: string;
  rows: readonly LedgerRow[];
  children?: preact.ComponentChildren;
}

function LedgerList({ title, path, rows, children }: ListProps) {
  const [fault, setFault] = useState("");
  return (
    <div class="ledger">
      <h3>{title}</h3>
      <div class="table-wrap">
        <table class="table table-edit ledger-table">
          <caption class="only-read">{title}</caption>
          <Head />
          <tbody>
            {rows.map((r) => (
              <Row key={r.path} row={r} onFault={setFault} />
            ))}
            <NewRow path={path} list={title} />
          </tbody>
        </table>
      </div>
      {children}
      {fault === "" ? null : (
        <p class="field-problem" role="alert">
          {fault}
        </p>
      )}
    </div>
  );
}

/** What the pack of the shown option brings; it comes from the option, not from the file. */
function PackRows({ rows }: { rows: readonly LedgerRow[] }) {
  if (rows.length === 0) return null;
  const x = show.scale(
    "length",
    rows.flatMap((r) => r.at_m),
    4,
  );
  const m = show.scale(
    "mass",
    rows.map((r) => r.mass_kg),
  );
  return (
    <div class="ledger">
      <h3>brought by the pack</h3>
      <div class="table-wrap">
        <table class="table ledger-table">
          <caption class="only-read">What the pack brings</caption>
          <thead>
            <tr>
              <th scope="col">Item</th>
              <th scope="col" class="figure">
                Mass<span class="unit">{m.unit}</span>
              </th>
              {axes.map((a) => (
                <th key={a} scope="col" class="figure">
                  {a}
                  <span class="unit">{x.unit}</span>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map((r, i) => (
              <tr key={`${r.name} ${i}`}>
                <td>{r.name}</td>
                <td class="figure">{m.text(r.mass_kg)}</td>
                {r.at_m.map((v, j) => (
                  <td key={axes[j]} class="figure">
                    {x.text(v)}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </div>
  );
}

function NewCase() {
  const [name, setName] = useState("");
  const [problem, setProblem] = useState<{ message: string; hint?: string } | null>(null);
  const add = async () => {
    const item = { name: "driver", mass: "75 kg", at: ["1 m", "350 mm", "900 mm"] };
    const fault = await edit([{ op: "insert", path: "donor.load_cases", value: { name, items: [item] } }]);
    setProblem(fault ? problemAt(fault) : null);
    if (!fault) setName("");
  };
  return (
    <form
      class="new-case"
      onSubmit={(e) => {
        e.preventDefault();
        void add();
      }}
    >
      <Field
        path=""
        text={name}
        label="name of a new load case"
        placeholder="new load case"
        onText={setName}
        problem={problem}
      />
      <button type="submit" class="button" disabled={name.trim() === ""}>
        Add, with a driver of 75 kg
      </button>
    </form>
  );
}

export function DonorLedger({ donor }: { donor: Donor }) {
  return (
    <Sheet
      title="Mass ledger"
      note="places from the front axle line, the centre line and the ground; any unit, a spread behind ±"
      tools={
        <CsvLink
          table="ledger"
          query={donor.option === "" ? "" : `?option=${encodeURIComponent(donor.option)}`}
        />
      }
      wide
    >
      <div class="ledger-pair">
        <LedgerList title="removed" path="donor.removed" rows={donor.removed} />
        <LedgerList title="added, without the pack" path="donor.added" rows={donor.added} />
        <PackRows rows={donor.pack} />
        {donor.load_cases.map((c) => (
          <LedgerList key={c.path} title={`load case: ${c.name}`} path={`${c.path}.items`} rows={c.items}>
            <RemoveCase path={c.path} name={c.name} />
          </LedgerList>
        ))}
      </div>
      <NewCase />
    </Sheet>
  );
}

function RemoveCase({ path, name }: { path: string; name: string }) {
  const [fault, setFault] = useState("");
  return (
    <>
      <RemoveEntry path={path} name={`load case ${name}`} words="Remove this load case" onFault={setFault} />
      {fault === "" ? null : <span class="field-problem">{fault}</span>}
    </>
  );
}
