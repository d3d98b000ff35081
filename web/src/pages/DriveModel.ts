// A run as columns, made ready for the traces: which panels there are, which
// column is read along, what the figures under the cursor are. SI goes in,
// display units come out of the scale functions that are passed in.

import type { Column, FlowLink, FlowNode } from "../api/types";
import type { Panel, TraceSet } from "../charts/traces";

/** Scaler picks one unit for a column, as units/show.ts does. */
export type Scaler = (
  noun: string,
  values: readonly number[],
) => { unit: string; from(si: number): number; text(si: number): string };

export type Along = "time" | "distance";

export interface PanelWish {
  title: string;
  lines: { key: string; name: string; broken?: boolean }[];
}

/** The panels of a run, top to bottom. */
export const runPanels: readonly PanelWish[] = [
  {
    title: "speed",
    lines: [
      { key: "speed_m_per_s", name: "driven" },
      { key: "speed_wanted_m_per_s", name: "wanted", broken: true },
    ],
  },
  { title: "power at the terminals", lines: [{ key: "terminal_power_w", name: "power" }] },
  { title: "voltage at the terminals", lines: [{ key: "voltage_v", name: "voltage" }] },
  { title: "current of the pack", lines: [{ key: "current_a", name: "current" }] },
  { title: "state of charge", lines: [{ key: "state_of_charge", name: "charge" }] },
];

/** The panels of a schedule alone; what is level all the way is left out. */
export const profilePanels: readonly PanelWish[] = [
  { title: "elevation above the start", lines: [{ key: "elevation_m", name: "elevation" }] },
  { title: "grade", lines: [{ key: "grade", name: "grade" }] },
  { title: "speed", lines: [{ key: "speed_m_per_s", name: "speed" }] },
];

export const least = (c: Column): readonly number[] => c.min ?? c.values ?? [];
export const greatest = (c: Column): readonly number[] => c.max ?? c.values ?? [];

/** flat reports whether a column is the same all the way. */
export function flat(c: Column): boolean {
  const lo = least(c);
  const hi = greatest(c);
  return lo.every((v) => v === lo[0]) && hi.every((v) => v === lo[0]);
}

const axes: Record<Along, { key: string; noun: string }> = {
  time: { key: "time_s", noun: "time" },
  distance: { key: "distance_m", noun: "length" },
};

/** nounOf is the quantity by which a column is scaled. Heights are lengths that stay near to hand: they are taken as such. */
const nounOf = (c: Column): string => (c.noun === "ratio" || c.key === "grade" ? "slope" : c.noun);

/** traceSet returns the panels over time or distance, in display units; null when the axis is not among the columns. */
export function traceSet(
  columns: readonly Column[],
  along: Along,
  wishes: readonly PanelWish[],
  scale: Scaler,
  key: string,
): TraceSet | null {
  const byKey = new Map(columns.map((c) => [c.key, c]));
  const axis = byKey.get(axes[along].key);
  const xs = axis?.values ?? [];
  if (!axis || xs.length < 2) return null;
  const x = scale(axes[along].noun, [xs.at(-1) ?? 0]);
  const panels: Panel[] = [];
  for (const w of wishes) {
    const found = w.lines.flatMap((l) => {
      const column = byKey.get(l.key);
      return column ? [{ ...l, column }] : [];
    });
    const first = found[0];
    if (!first) continue;
    const unit = scale(
      nounOf(first.column),
      found.flatMap((l) => extremes(l.column)),
    );
    panels.push({
      key: first.key,
      title: w.title,
      unit: unit.unit,
      lines: found.map((l) => ({
        name: l.name,
        min: least(l.column).map(unit.from),
        max: greatest(l.column).map(unit.from),
        broken: l.broken ?? false,
      })),
    });
  }
  return { key, x: xs.map(x.from), xTitle: along, xUnit: x.unit, panels };
}

/** extremes returns the least and the greatest of a column, without spreading a long array. */
export function extremes(c: Column): [number, number] {
  let lo = Number.POSITIVE_INFINITY;
  let hi = Number.NEGATIVE_INFINITY;
  for (const v of least(c)) if (v < lo) lo = v;
  for (const v of greatest(c)) if (v > hi) hi = v;
  return lo <= hi ? [lo, hi] : [0, 0];
}

/** reader returns what says every figure of one bucket in words: one value, or the least and the greatest in the bucket. The units are chosen once. */
export function reader(
  columns: readonly Column[],
  scale: Scaler,
): (index: number) => { name: string; text: string }[] {
  const units = columns.map((c) => scale(nounOf(c), extremes(c)));
  return (index) =>
    columns.map((c, k) => {
      const unit = units[k] ?? scale(nounOf(c), []);
      const lo = unit.text(least(c)[index] ?? 0);
      const hi = unit.text(greatest(c)[index] ?? 0);
      return {
        name: c.name,
        text: `${lo === hi ? lo : `${lo} … ${hi}`}${unit.unit ? `\u00a0${unit.unit}` : ""}`,
      };
    });
}

/** flowRows returns the links of a flow with the names of their ends, in order. */
export function flowRows(nodes: readonly FlowNode[], links: readonly FlowLink[]) {
  const name = new Map(nodes.map((n) => [n.id, n.name]));
  return links.map((l) => ({ ...l, fromName: name.get(l.from) ?? l.from, toName: name.get(l.to) ?? l.to }));
}

/** high are the nodes of a flow whose conductors carry the voltage of the pack. */
export const high = ["cells", "terminals", "inverter", "motor"];

/** fileName returns the name under which a route is stored: its last part, what is no letter, digit, dot, dash or underscore as a dash. */
export function fileName(name: string): string {
  const last = name.split(/[\\/]/).at(-1) ?? name;
  return last.replace(/[^\w.-]+/g, "-").replace(/^[.-]+/, "");
}
