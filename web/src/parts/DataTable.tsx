// A table of figures: sorted by any column, walked with the arrow keys, taken
// away as CSV (which the server writes).

import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";

export interface DataColumn<T> {
  key: string;
  head: string;
  /** Of the whole column, under its head. */
  unit?: string;
  /** Figures stand to the right. */
  figure?: boolean;
  cell: (row: T, index: number) => ComponentChildren;
  /** What it is sorted by; left out, it is not sorted. */
  sort?: (row: T) => number | string;
  /** What the head means, where that is not plain. */
  hint?: string;
}

export interface DataTableProps<T> {
  caption: string;
  /** Says the caption to screen readers only. */
  quiet?: boolean;
  columns: readonly DataColumn<T>[];
  rows: readonly T[];
  rowKey: (row: T, index: number) => string;
  /** Rows can be picked: a button in the first cell, with arrow keys between them. */
  onPick?: (row: T) => void;
  picked?: (row: T) => boolean;
  rowClass?: (row: T) => string;
  /** Sorted at first: a key, with "-" before it falling. */
  sorted?: string;
  /** Rows shown before "show all". */
  most?: number;
  empty?: string;
  foot?: ComponentChildren;
}

function order<T>(rows: readonly T[], columns: readonly DataColumn<T>[], by: string): readonly T[] {
  const falling = by.startsWith("-");
  const column = columns.find((c) => c.key === by.replace(/^-/, ""));
  const value = column?.sort;
  if (!value) return rows;
  const sign = falling ? -1 : 1;
  return [...rows].sort((a, b) => {
    const x = value(a);
    const y = value(b);
    if (x === y) return 0;
    return (x < y ? -1 : 1) * sign;
  });
}

/** Moves between the picking buttons of a table. */
function walk(e: KeyboardEvent) {
  const step = { ArrowDown: 1, ArrowUp: -1 }[e.key];
  if (step === undefined || !(e.target instanceof HTMLElement) || !e.target.matches(".pick")) return;
  const all = [...(e.target.closest("table")?.querySelectorAll<HTMLElement>(".pick") ?? [])];
  const next = all[all.indexOf(e.target) + step];
  if (next) {
    e.preventDefault();
    next.focus();
  }
}

function Head<T>({
  column,
  by,
  onSort,
}: {
  column: DataColumn<T>;
  by: string;
  onSort: (by: string) => void;
}) {
  const rising = by === column.key;
  const falling = by === `-${column.key}`;
  const mark = rising ? " ↑" : falling ? " ↓" : "";
  return (
    <th
      scope="col"
      class={column.figure ? "figure" : undefined}
      aria-sort={rising ? "ascending" : falling ? "descending" : undefined}
      title={column.hint}
    >
      {column.sort ? (
        <button type="button" class="sorter" onClick={() => onSort(rising ? `-${column.key}` : column.key)}>
          {column.head}
          <span aria-hidden="true">{mark}</span>
        </button>
      ) : (
        column.head
      )}
      {column.unit ? <span class="unit">{column.unit}</span> : null}
    </th>
  );
}

export function DataTable<T>(p: DataTableProps<T>) {
  const [by, setBy] = useState(p.sorted ?? "");
  const [all, setAll] = useState(false);
  const ordered = order(p.rows, p.columns, by);
  const most = all ? ordered.length : (p.most ?? ordered.length);
  const rows = ordered.slice(0, most);
  return (
    <div class="table-wrap">
      <table class="table" onKeyDown={walk}>
        <caption class={p.quiet ? "only-read" : undefined}>{p.caption}</caption>
        <thead>
          <tr>
            {p.columns.map((c) => (
              <Head key={c.key} column={c} by={by} onSort={setBy} />
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, i) => {
            const picked = p.picked?.(row) ?? false;
            const names = [picked ? "is-picked" : "", p.rowClass?.(row) ?? ""].join(" ").trim();
            return (
              <tr
                key={p.rowKey(row, i)}
                class={names === "" ? undefined : names}
                aria-current={picked ? "true" : undefined}
              >
                {p.columns.map((c, j) => (
                  <td key={c.key} class={c.figure ? "figure" : undefined}>
                    {j === 0 && p.onPick ? (
                      <button
                        type="button"
                        class="pick"
                        aria-pressed={picked}
                        onClick={() => p.onPick?.(row)}
                      >
                        {c.cell(row, i)}
                      </button>
                    ) : (
                      c.cell(row, i)
                    )}
                  </td>
                ))}
              </tr>
            );
          })}
          {rows.length === 0 ? (
            <tr>
              <td class="nothing" colSpan={p.columns.length}>
                {p.empty ?? "nothing here"}
              </td>
            </tr>
          ) : null}
        </tbody>
        {p.foot ? <tfoot>{p.foot}</tfoot> : null}
      </table>
      {ordered.length > rows.length ? (
        <button type="button" class="button button-plain" onClick={() => setAll(true)}>
          Show all {ordered.length}
        </button>
      ) : null}
    </div>
  );
}
