// A list of the file: its entries with every value to edit, a row to add one,
// and a button to take one away.

import { useState } from "preact/hooks";
import type { ItemField } from "../api/types";
import { edit, problemAt } from "../state/store";
import { AddEntry } from "./AddEntry";
import {
  axisNames,
  type Entry,
  given,
  type ItemKey,
  isFigure,
  type Leaf,
  type List,
  opsForRow,
  words,
} from "./fileTree";
import { LeafGrid } from "./LeafGrid";
import { ValueField } from "./ValueField";

/** Entries with more keys than this are forms, not rows. */
const keysInRow = 6;

function Cell({ leaf, itemKey, label }: { leaf: Leaf | undefined; itemKey: ItemKey; label: string }) {
  if (!leaf) return null;
  return (
    <>
      {leaf.fields.map((f, i) => (
        <ValueField
          key={f.path}
          of={f}
          figure={isFigure(itemKey.parts[0])}
          label={leaf.fields.length === 1 ? label : `${label}, ${axisNames[i] ?? i}`}
          {...(leaf.fields.length === 1 ? {} : { ops: (text: string) => opsForRow(leaf, i, text) })}
        />
      ))}
    </>
  );
}

export function RemoveEntry({
  path,
  name,
  words: shown = "Remove",
  onFault,
}: {
  path: string;
  name: string;
  /** On the button; read aloud is what is removed. */
  words?: string;
  onFault: (text: string) => void;
}) {
  return (
    <button
      type="button"
      class="take"
      aria-label={shown === "Remove" ? `Remove ${name}` : `${shown}: ${name}`}
      onClick={async () => {
        const fault = await edit([{ op: "delete", path }]);
        onFault(fault ? problemAt(fault, path).message : "");
      }}
    >
      {shown}
    </button>
  );
}

const nameOf = (list: List, e: Entry, i: number) =>
  e.leaves.get("name")?.fields[0]?.text || `${list.title} ${i + 1}`;

function Rows({ list, onFault }: { list: List; onFault: (text: string) => void }) {
  const shown = list.keys.filter(
    (k) =>
      k.parts.some((p: ItemField) => p.required) ||
      list.entries.some((e) => given(e.leaves.get(k.key) ?? noLeaf)),
  );
  const keys = shown.length > 0 ? shown : list.keys;
  return (
    <div class="table-wrap">
      <table class="table table-edit">
        <caption class="only-read">{list.title}</caption>
        <thead>
          <tr>
            {keys.map((k) => (
              <th
                key={k.key}
                scope="col"
                class={isFigure(k.parts[0]) ? "figure" : undefined}
                title={k.parts[0]?.doc}
              >
                {words(k.key)}
              </th>
            ))}
            <th scope="col">
              <span class="only-read">Remove</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {list.entries.map((e, i) => (
            <tr key={e.path}>
              {keys.map((k) => (
                <td key={k.key}>
                  <span class="cell-row">
                    <Cell
                      leaf={e.leaves.get(k.key)}
                      itemKey={k}
                      label={`${words(k.key)} of ${nameOf(list, e, i)}`}
                    />
                  </span>
                </td>
              ))}
              <td>
                <RemoveEntry path={e.path} name={nameOf(list, e, i)} onFault={onFault} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

const noLeaf: Leaf = { path: "", key: "", fields: [] };

function Forms({ list, onFault }: { list: List; onFault: (text: string) => void }) {
  return (
    <>
      {list.entries.map((e, i) => (
        <details class="entry" key={e.path}>
          <summary>
            {nameOf(list, e, i)} <span class="place">{e.path}</span>
          </summary>
          <LeafGrid leaves={[...e.leaves.values()]} of={nameOf(list, e, i)} />
          {e.lists.map((l) => (
            <ListForm key={l.path} list={l} />
          ))}
          <RemoveEntry path={e.path} name={nameOf(list, e, i)} onFault={onFault} />
        </details>
      ))}
    </>
  );
}

export function ListForm({ list }: { list: List }) {
  const [fault, setFault] = useState("");
  const nested = list.entries.some((e) => e.lists.length > 0);
  const flat = list.keys.length <= keysInRow && !nested;
  return (
    <div class="list-form">
      <h3>{list.title}</h3>
      {list.entries.length === 0 ? <p class="quiet">none so far</p> : null}
      {list.entries.length === 0 ? null : flat ? (
        <Rows list={list} onFault={setFault} />
      ) : (
        <Forms list={list} onFault={setFault} />
      )}
      {fault === "" ? null : (
        <p class="field-problem" role="alert">
          {fault}
        </p>
      )}
      <AddEntry path={list.path} title={list.title} keys={list.keys} />
    </div>
  );
}
