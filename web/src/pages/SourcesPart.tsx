// One part of the catalogue: figures, where each comes from, curves, and a way
// to take it as a lot.

import { useState } from "preact/hooks";
import type { CurveView, Op, PartView, Value } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Dialog } from "../parts/Dialog";
import { Field } from "../parts/Field";
import { Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import { edit, problemAt } from "../state/store";
import * as show from "../units/show";
import { named } from "./SourcesCatalogue";
import { SourcesCurves } from "./SourcesCurves";

const kindOfLot: Record<string, string> = {
  cell: "cells",
  module: "module",
  "openable module": "openable module",
};
const whereToUse: Record<string, string> = {
  "drive unit": "drive.unit",
  inverter: "drive.inverter",
  charger: "drive.charger",
  converter: "drive.converter",
};

const none = [] as const;

function Curves({ part }: { part: PartView }) {
  const reply = useResource<CurveView>(`/api/parts/${encodeURIComponent(part.id)}/curves`, none);
  return (
    <Loaded of={reply} what="drawing the curves">
      {(c) => <SourcesCurves lines={[{ name: "new", cell: part.title, curves: c }]} />}
    </Loaded>
  );
}

interface LotProps {
  part: PartView;
  hardware: readonly PartView[];
  onDone: () => void;
}

const lotFields = [
  { key: "name", label: "name of the lot", placeholder: "without blanks", needed: true },
  { key: "count", label: "pieces to be had", placeholder: "number", needed: true },
  { key: "price", label: "price of a piece", placeholder: "as in the catalogue", needed: false },
  { key: "state_of_health", label: "capacity left", placeholder: "100 %", needed: false },
] as const;

function TakeAsLot({ part, hardware, onDone }: LotProps) {
  const [texts, setTexts] = useState<Record<string, string>>({ name: part.id });
  const [problem, setProblem] = useState<{ message: string; hint?: string } | null>(null);
  const take = async () => {
    const value: { [key: string]: Value } = {
      name: texts.name ?? "",
      kind: kindOfLot[part.kind] ?? "cells",
      part: part.id,
    };
    for (const key of ["hardware", "count", "price", "state_of_health"]) {
      const text = (texts[key] ?? "").trim();
      if (text !== "") value[key] = text;
    }
    const fault = await edit([{ op: "insert", path: "sources", value }]);
    setProblem(fault ? problemAt(fault) : null);
    if (!fault) onDone();
  };
  const type = (key: string) => (t: string) => setTexts((all) => ({ ...all, [key]: t }));
  return (
    <form
      class="take-lot"
      aria-label="Take as a lot"
      onSubmit={(e) => {
        e.preventDefault();
        void take();
      }}
    >
      <h3>Take it as a lot</h3>
      <div class="take-lot-fields">
        {lotFields.map((f) => (
          <span key={f.key} class="labelled">
            <span aria-hidden="true">{f.label}</span>
            <Field
              path=""
              text={texts[f.key] ?? ""}
              label={f.label}
              placeholder={f.placeholder}
              required={f.needed}
              onText={type(f.key)}
            />
          </span>
        ))}
        {part.kind === "module" ? null : (
          <span class="labelled">
            <span aria-hidden="true">hardware</span>
            <Field
              path=""
              text={texts.hardware ?? ""}
              label="hardware that makes modules of it"
              placeholder="as in the catalogue"
              oneOf={hardware.map((h) => h.id)}
              onText={type("hardware")}
            />
          </span>
        )}
        <button type="submit" class="button button-strong">
          Add the lot
        </button>
      </div>
      {problem ? (
        <p class="field-problem" role="alert">
          {problem.message}
          {problem.hint ? <span class="field-hint">{problem.hint}</span> : null}
        </p>
      ) : null}
    </form>
  );
}

function TakeInDrive({ part, onDone }: { part: PartView; onDone: () => void }) {
  const [fault, setFault] = useState("");
  const path = whereToUse[part.kind];
  if (!path) return null;
  const use = async () => {
    const ops: Op[] = [{ op: "set", path, text: part.id }];
    const refused = await edit(ops);
    if (refused) setFault(problemAt(refused, path).message);
    else onDone();
  };
  return (
    <p class="actions">
      <button type="button" class="button button-strong" onClick={() => void use()}>
        Use as {path}
      </button>
      {fault === "" ? null : <span class="field-problem">{fault}</span>}
    </p>
  );
}

interface Props {
  part: PartView;
  hardware: readonly PartView[];
  onClose: () => void;
}

export function SourcesPart({ part, hardware, onClose }: Props) {
  const curved = part.kind in kindOfLot;
  return (
    <Dialog title={part.title} onClose={onClose} wide>
      <dl class="part-figures">
        {part.mass_kg ? (
          <div>
            <dt>mass</dt>
            <dd>{show.mass(part.mass_kg)}</dd>
          </div>
        ) : null}
        {part.figures.map((f) => (
          <div key={f.name}>
            <dt>{f.name}</dt>
            <dd>{named(f)}</dd>
          </div>
        ))}
      </dl>
      {curved ? (
        <TakeAsLot part={part} hardware={hardware} onDone={onClose} />
      ) : (
        <TakeInDrive part={part} onDone={onClose} />
      )}
      {curved ? <Curves part={part} /> : null}
      <h3>Where the figures come from</h3>
      <DataTable
        caption="Where the figures come from"
        quiet
        rows={part.facts}
        rowKey={(f) => f.field}
        empty="your own part: the figures are yours"
        columns={[
          { key: "field", head: "Figure", cell: (f) => f.field.replaceAll("_", " ") },
          { key: "source", head: "Source", cell: (f) => f.source_title || f.source },
          { key: "status", head: "How well known", cell: (f) => f.status, sort: (f) => f.status },
        ]}
      />
    </Dialog>
  );
}
