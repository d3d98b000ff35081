// One column for each lot: what is written of it above, what follows below.

import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { FileReply, Sources, SourceView } from "../api/types";
import { RemoveEntry } from "../parts/ListForm";
import { Empty } from "../parts/states";
import { ValueField } from "../parts/ValueField";
import * as show from "../units/show";

const written: readonly { key: string; name: string }[] = [
  { key: "name", name: "name" },
  { key: "kind", name: "kind" },
  { key: "part", name: "part" },
  { key: "hardware", name: "hardware" },
  { key: "count", name: "pieces to be had" },
  { key: "spare", name: "pieces kept back" },
  { key: "price", name: "price of a piece" },
  { key: "state_of_health", name: "capacity left" },
  { key: "resistance_growth", name: "resistance grown by" },
];

const none = "–";
const times = (a: number, b: number) => `${show.count(a)} × ${show.count(b)}`;

function size(m: readonly number[]): string {
  const s = show.scale("length", m);
  return `${m.map((x) => show.number(s.from(x))).join(" × ")}\u00a0${s.unit}`;
}

type Follows = { name: string; cell: (s: SourceView, currency: string) => ComponentChildren };

const ofPiece: readonly Follows[] = [
  {
    name: "cells in it, series × parallel",
    cell: (s) => (s.module ? times(s.module.series, s.module.parallel) : "one cell"),
  },
  {
    name: "slices to regroup",
    cell: (s) =>
      s.module?.openable
        ? `${show.count(s.module.slices)} of ${times(s.module.slice_series, s.module.slice_parallel)}`
        : none,
  },
  { name: "size", cell: (s) => size((s.module ?? s.cell).size_m) },
  { name: "mass", cell: (s) => show.mass(s.mass_piece_kg) },
  { name: "energy", cell: (s) => show.energy(s.energy_piece_j) },
  { name: "energy over mass", cell: (s) => show.specificEnergy(s.specific_energy_j_per_kg) },
];

const ofCell: readonly Follows[] = [
  { name: "chemistry, format", cell: (s) => `${s.cell.chemistry}, ${s.cell.format}` },
  { name: "capacity when new", cell: (s) => show.charge(s.cell.capacity_as) },
  {
    name: "voltage: end, nominal, full",
    cell: (s) =>
      `${show.number(s.cell.voltage_min_v)}, ${show.number(s.cell.voltage_nominal_v)}, ${show.voltage(s.cell.voltage_max_v)}`,
  },
  {
    name: "curve",
    cell: (s) => (s.cell.generic_curve ? "of the chemistry, not of this cell" : "of this cell"),
  },
];

const ofLot: readonly Follows[] = [
  { name: "energy of the lot", cell: (s) => show.energy(s.energy_lot_j) },
  {
    name: "price of a kWh",
    cell: (s, currency) => (s.price_per_kwh === null ? "no price" : show.money(s.price_per_kwh, currency)),
  },
  {
    name: "at the end of life",
    cell: (s) =>
      `${show.percent(s.health_end.capacity_share)} left, resistance × ${show.number(s.health_end.resistance_growth)}`,
  },
  {
    name: "packs looked at",
    cell: (s) =>
      s.not_searched ? (
        <span class="not-searched">not searched: {s.not_searched}</span>
      ) : (
        show.count(s.candidates ?? 0)
      ),
  },
];

function Group({ title, rows, reply }: { title: string; rows: readonly Follows[]; reply: Sources }) {
  return (
    <tbody>
      <tr class="group-row">
        <th scope="rowgroup" colSpan={reply.sources.length + 1}>
          {title}
        </th>
      </tr>
      {rows.map((r) => (
        <tr key={r.name}>
          <th scope="row">{r.name}</th>
          {reply.sources.map((s) => (
            <td key={s.path} class="figure">
              {r.cell(s, reply.currency)}
            </td>
          ))}
        </tr>
      ))}
    </tbody>
  );
}

interface Props {
  reply: Sources;
  file: FileReply | null;
  onPart: (id: string) => void;
}

function Written({ reply, file }: { reply: Sources; file: FileReply | null }) {
  return (
    <tbody>
      {written.map((w) => (
        <tr key={w.key}>
          <th scope="row">{w.name}</th>
          {reply.sources.map((s) => {
            const f = file?.fields.find((x) => x.path === `${s.path}.${w.key}`);
            return (
              <td key={s.path} class="figure">
                {f ? (
                  <ValueField of={f} label={`${w.name} of ${s.name}`} placeholder="not given" figure />
                ) : (
                  none
                )}
              </td>
            );
          })}
        </tr>
      ))}
    </tbody>
  );
}

export function SourcesLots({ reply, file, onPart }: Props) {
  const [fault, setFault] = useState("");
  if (reply.sources.length === 0) {
    return (
      <Empty title="no lots yet">
        <p>Pick a cell or a module in the catalogue below and take it as a lot.</p>
      </Empty>
    );
  }
  return (
    <>
      <div class="table-wrap">
        <table class="table table-edit lots">
          <caption class="only-read">Lots side by side</caption>
          <thead>
            <tr>
              <td />
              {reply.sources.map((s) => (
                <th key={s.path} scope="col" class="figure">
                  {s.name}
                </th>
              ))}
            </tr>
          </thead>
          <Written reply={reply} file={file} />
          <Group title="one piece" rows={ofPiece} reply={reply} />
          <Group title="its cell" rows={ofCell} reply={reply} />
          <Group title="the lot" rows={ofLot} reply={reply} />
          <tfoot>
            <tr>
              <td />
              {reply.sources.map((s) => (
                <td key={s.path} class="figure">
                  <button type="button" class="take" onClick={() => onPart(s.part)}>
                    Facts and sources
                    <span class="only-read"> of {s.part}</span>
                  </button>
                  <RemoveEntry path={s.path} name={`lot ${s.name}`} onFault={setFault} />
                </td>
              ))}
            </tr>
          </tfoot>
        </table>
      </div>
      {fault === "" ? null : (
        <p class="field-problem" role="alert">
          {fault}
        </p>
      )}
    </>
  );
}
