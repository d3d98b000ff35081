// The table of options as plain data: which rows there are, which of them a
// filter leaves, what a nearest miss asks the server. Numbers come from the
// server; nothing is computed here but places and order.

import type { Bays, MissRow, RelaxationRequest, Report, Row } from "../api/types";

/** Line is one pack in the table; rank 0 when it is in the Pareto set only. */
export interface Line {
  row: Row;
  rank: number;
  source: string;
}

/** linesOf returns the ranked packs in order, then the members of the Pareto set that are not among them. */
export function linesOf(report: Report): Line[] {
  const seen = new Set<string>();
  const out: Line[] = [];
  const add = (row: Row, rank: number) => {
    if (seen.has(row.id)) return;
    seen.add(row.id);
    out.push({ row, rank, source: sourceOf(row.id, report) });
  };
  for (const [i, row] of report.ranked.entries()) add(row, i + 1);
  for (const row of report.pareto) add(row, 0);
  return out;
}

/** sourceOf returns the source of an option: its name is the first word of the option's. */
export function sourceOf(id: string, report: Report): string {
  const named = report.sources.filter((s) => id.startsWith(`${s.name}/`)).map((s) => s.name);
  return named.sort((a, b) => b.length - a.length)[0] ?? id.split("/")[0] ?? "";
}

export interface Filter {
  /** worst margin belongs to this rule; "" for all */
  rule: string;
  source: string;
  /** words that all stand in the option's name or topology */
  text: string;
  paretoOnly: boolean;
}

export const noFilter: Filter = { rule: "", source: "", text: "", paretoOnly: false };

/** kept returns the lines that the filter leaves. */
export function kept(lines: readonly Line[], f: Filter): Line[] {
  const words = f.text.toLowerCase().split(/\s+/).filter(Boolean);
  return lines.filter(({ row, source }) => {
    if (f.rule && row.worst_margin_rule !== f.rule) return false;
    if (f.source && source !== f.source) return false;
    if (f.paretoOnly && !row.pareto) return false;
    const name = `${row.id} ${row.topology}`.toLowerCase();
    return words.every((w) => name.includes(w));
  });
}

/** rulesOf returns the rules that worst margins belong to, the commonest first. */
export function rulesOf(lines: readonly Line[]): string[] {
  const n = new Map<string, number>();
  for (const { row } of lines) n.set(row.worst_margin_rule, (n.get(row.worst_margin_rule) ?? 0) + 1);
  return [...n].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)).map(([rule]) => rule);
}

/** picked adds an option to the two that are compared, or takes it out; a third replaces the older. */
export function picked(now: readonly string[], id: string): string[] {
  if (now.includes(id)) return now.filter((x) => x !== id);
  return [...now, id].slice(-2);
}

/** relaxationOf returns what the server is asked about a miss: every limit moved to the value that was found, or the bay grown in place of its space. */
export function relaxationOf(m: MissRow): RelaxationRequest {
  const moved = m.limits.filter((l) => !(m.bay_growth && l.rule === "space.bays"));
  const limits = moved.map((l) => ({ rule: l.rule, to_si: l.value.si }));
  return m.bay_growth
    ? { option: m.option.id, limits, growth: m.bay_growth }
    : { option: m.option.id, limits };
}

/** bayWords writes how many modules stand in each bay, with the names of the bays where they are known. */
export function bayWords(counts: readonly number[], names: readonly string[]): string {
  return counts.map((n, i) => (names[i] ? `${names[i]}: ${n}` : String(n))).join(", ");
}

/** Names of the bays, in the order of the file. */
export const bayNames = (b: Pick<Bays, "bays"> | null): string[] => b?.bays.map((x) => x.name) ?? [];

/** widest is the greatest count of the falls, for the length of the bars. */
export function widest(falls: readonly { alone: number; with_others: number }[]): number {
  return falls.reduce((m, f) => Math.max(m, f.alone + f.with_others), 1);
}
