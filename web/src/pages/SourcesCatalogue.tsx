// Everything that can be bought, or that the workshop has of its own.

import { useState } from "preact/hooks";
import type { PartView } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Field } from "../parts/Field";
import * as show from "../units/show";

const groups: readonly { name: string; kinds: readonly string[] }[] = [
  { name: "cells and modules", kinds: ["cell", "module", "openable module"] },
  { name: "module hardware", kinds: ["hardware"] },
  { name: "motors and inverters", kinds: ["drive unit", "inverter", "stage"] },
  { name: "chargers and converters", kinds: ["charger", "converter"] },
];

/** A figure under its name: a count needs no noun behind it. */
export function named(f: PartView["figures"][number]): string {
  return f.value.symbol === "1" ? show.figureShown(f.value).number : show.figure(f.value);
}

const figures = (p: PartView) =>
  p.figures
    .slice(0, 4)
    .map((f) => `${f.name} ${named(f)}`)
    .join("; ");

function matches(p: PartView, words: string): boolean {
  const text = `${p.id} ${p.title} ${p.kind}`.toLowerCase();
  return words
    .toLowerCase()
    .split(/\s+/)
    .every((w) => text.includes(w));
}

export function SourcesCatalogue({
  parts,
  onOpen,
}: {
  parts: readonly PartView[];
  onOpen: (id: string) => void;
}) {
  const [group, setGroup] = useState(0);
  const [words, setWords] = useState("");
  const kinds = groups[group]?.kinds ?? [];
  const rows = parts.filter((p) => kinds.includes(p.kind) && matches(p, words));
  return (
    <>
      <div class="catalogue-tools">
        <fieldset class="kinds" aria-label="Kind of part">
          {groups.map((g, i) => (
            <button
              key={g.name}
              type="button"
              class="button"
              aria-pressed={i === group}
              onClick={() => setGroup(i)}
            >
              {g.name}
            </button>
          ))}
        </fieldset>
        <span class="catalogue-find">
          <Field path="" text="" label="find in the catalogue" placeholder="find" onText={setWords} />
        </span>
      </div>
      <DataTable
        caption="Catalogue"
        quiet
        rows={rows}
        rowKey={(p) => p.id}
        onPick={(p) => onOpen(p.id)}
        empty="nothing of that name"
        columns={[
          { key: "title", head: "Part", cell: (p) => p.title, sort: (p) => p.title },
          { key: "id", head: "Name in the file", cell: (p) => <code>{p.id}</code>, sort: (p) => p.id },
          {
            key: "kind",
            head: "Kind",
            cell: (p) => (p.own ? `${p.kind}, your own` : p.kind),
            sort: (p) => p.kind,
          },
          {
            key: "mass",
            head: "Mass",
            figure: true,
            cell: (p) => (p.mass_kg ? show.mass(p.mass_kg) : "–"),
            sort: (p) => p.mass_kg ?? 0,
          },
          { key: "figures", head: "Figures", cell: figures },
        ]}
      />
    </>
  );
}
