import type { Report } from "../api/types";
import { MarkKey } from "../charts/marks";
import type { DataColumn } from "../parts/DataTable";
import * as show from "../units/show";
import { bayWords, type Line } from "./OptionsModel";

interface Wish {
  report: Report;
  marked: readonly string[];
  chosen: string;
  bays: readonly string[];
  onMark(id: string): void;
}

/** columnsOf returns the columns of the table of packs, each in the unit that suits its greatest value. */
export function columnsOf(p: Wish, rows: readonly Line[]): DataColumn<Line>[] {
  const far = show.scale(
    "length",
    rows.flatMap((l) => [l.row.range_m, l.row.range_end_of_life_m]),
  );
  const stored = show.scale(
    "energy",
    rows.map((l) => l.row.usable_energy_j),
  );
  const heavy = show.scale(
    "mass",
    rows.map((l) => l.row.mass_kg),
  );
  const kinds = p.report.sources.map((s) => s.name);
  return [
    {
      key: "option",
      head: "Option",
      cell: (l) => (
        <>
          <MarkKey kind={Math.max(0, kinds.indexOf(l.source))} strong={l.row.pareto} r={4} /> {l.row.id}
          {l.row.id === p.chosen && <strong class="chosen-word"> chosen</strong>}
        </>
      ),
      sort: (l) => l.row.id,
    },
    {
      key: "compare",
      head: "Compare",
      hint: "mark two to compare them",
      cell: (l) => (
        <input
          type="checkbox"
          class="mark-box"
          aria-label={`compare ${l.row.id}`}
          checked={p.marked.includes(l.row.id)}
          onChange={() => p.onMark(l.row.id)}
        />
      ),
    },
    { key: "rank", head: "Rank", figure: true, cell: (l) => l.rank || "–", sort: (l) => l.rank || 1e9 },
    {
      key: "range",
      hint: "as bought",
      head: "Range",
      unit: far.unit,
      figure: true,
      cell: (l) => far.text(l.row.range_m),
      sort: (l) => l.row.range_m,
    },
    {
      key: "end",
      head: "End of life",
      unit: far.unit,
      figure: true,
      cell: (l) => far.text(l.row.range_end_of_life_m),
      sort: (l) => l.row.range_end_of_life_m,
    },
    {
      key: "usable",
      head: "Usable",
      unit: stored.unit,
      figure: true,
      cell: (l) => stored.text(l.row.usable_energy_j),
      sort: (l) => l.row.usable_energy_j,
    },
    {
      key: "mass",
      head: "Mass",
      unit: heavy.unit,
      figure: true,
      cell: (l) => heavy.text(l.row.mass_kg),
      sort: (l) => l.row.mass_kg,
    },
    {
      key: "price",
      head: "Price",
      unit: p.report.currency,
      figure: true,
      cell: (l) => show.count(l.row.price),
      sort: (l) => l.row.price,
    },
    {
      key: "window",
      head: "Window",
      unit: "V",
      figure: true,
      hint: "lowest under load, cold and aged, to full",
      cell: (l) => `${show.fixed(l.row.voltage_lowest_v, 0)} … ${show.fixed(l.row.voltage_full_v, 0)}`,
      sort: (l) => l.row.voltage_full_v,
    },
    {
      key: "margin",
      hint: "the smallest margin among volts, amperes and kilograms, and its limit",
      head: "Margin",
      figure: true,
      cell: (l) => show.percent(l.row.worst_margin),
      sort: (l) => l.row.worst_margin,
    },
    { key: "rule", head: "of", cell: (l) => l.row.worst_margin_rule, sort: (l) => l.row.worst_margin_rule },
    {
      key: "cuts",
      head: "Cuts",
      figure: true,
      hint: "ways of cutting this pack into modules that fit",
      cell: (l) => l.row.cuts_that_fit ?? "–",
      sort: (l) => l.row.cuts_that_fit ?? 0,
    },
    {
      key: "bays",
      head: "By bay",
      hint: `modules in ${p.bays.join(", ") || "each bay"}`,
      cell: (l) => (
        <span title={bayWords(l.row.modules_by_bay, p.bays)}>
          <span aria-hidden="true">{l.row.modules_by_bay.join(" · ")}</span>
          <span class="only-read">{bayWords(l.row.modules_by_bay, p.bays)}</span>
        </span>
      ),
    },
    {
      key: "pareto",
      head: "Pareto",
      cell: (l) => (l.row.pareto ? "yes" : ""),
      sort: (l) => (l.row.pareto ? 0 : 1),
    },
  ];
}
