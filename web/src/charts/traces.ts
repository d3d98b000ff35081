// Draws long series with uPlot: one panel per quantity over one common axis.
// The panels share cursor and zoom. Loaded late, for its size.

import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import { decimals } from "./scale";

/** Line is one series of a panel in display units: least and greatest of every bucket; the same array twice where it is exact. */
export interface Line {
  name: string;
  min: readonly number[];
  max: readonly number[];
  broken?: boolean;
}
export interface Panel {
  key: string;
  title: string;
  unit: string;
  lines: readonly Line[];
}
export interface TraceSet {
  /** charts of the same key share their cursor */
  key: string;
  x: readonly number[];
  xTitle: string;
  xUnit: string;
  panels: readonly Panel[];
}
export interface Heard {
  onCursor(index: number | null): void;
  onZoom(least: number, greatest: number): void;
}
export interface Traces {
  /** put the cursor on a bucket, or away */
  point(index: number | null): void;
  zoom(least: number, greatest: number): void;
  span(): [number, number];
  resize(width: number): void;
  end(): void;
}

/** steps of the axes: 1, 2 or 5 times a power of ten */
const STEPS = Array.from({ length: 14 }, (_, k) => [1, 2, 5].map((m) => Number(`${m}e${k - 6}`))).flat();
const PANEL = 112;
const FOOT = 44;

/** drawTraces draws the set into the element. */
export function drawTraces(into: HTMLElement, set: TraceSet, heard: Heard): Traces {
  const ink = inks(into);
  const sync = uPlot.sync(set.key);
  const plots: uPlot[] = [];
  let linked = false;
  const whole: [number, number] = [set.x[0] ?? 0, set.x.at(-1) ?? 1];

  /** every panel shows what one of them was told to show */
  const link = (from: uPlot) => {
    if (linked) return;
    const { min, max } = from.scales.x ?? {};
    if (min == null || max == null) return;
    linked = true;
    for (const u of plots) if (u !== from) u.setScale("x", { min, max });
    linked = false;
    heard.onZoom(min, max);
  };

  set.panels.forEach((panel, i) => {
    const last = i === set.panels.length - 1;
    const holder = document.createElement("div");
    holder.className = "trace-panel";
    const title = document.createElement("div");
    title.className = "trace-title";
    title.textContent = `${panel.title}, ${panel.unit}`;
    holder.append(title);
    into.append(holder);
    const options = optionsOf(panel, set, last, ink, {
      width: Math.max(200, into.clientWidth),
      sync: sync.key,
      onCursor: (u) => heard.onCursor(u.cursor.idx ?? null),
      onScale: link,
    });
    plots.push(new uPlot(options, dataOf(set, panel), holder));
  });

  return {
    point(index) {
      const u = plots[0];
      if (!u) return;
      const x = index === null ? undefined : set.x[index];
      u.setCursor({ left: x === undefined ? -10 : u.valToPos(x, "x"), top: x === undefined ? -10 : 10 });
    },
    zoom(least, greatest) {
      const lo = Math.max(whole[0], least);
      const hi = Math.min(whole[1], greatest);
      if (hi > lo) plots[0]?.setScale("x", { min: lo, max: hi });
    },
    span: () => [plots[0]?.scales.x?.min ?? whole[0], plots[0]?.scales.x?.max ?? whole[1]],
    resize(width) {
      for (const [i, u] of plots.entries()) u.setSize({ width, height: heightOf(i === plots.length - 1) });
    },
    end() {
      for (const u of plots) u.destroy();
      into.replaceChildren();
    },
  };
}

const heightOf = (last: boolean) => PANEL + (last ? FOOT : 12);

/** dataOf gives each line two series, its least and its greatest, so that no peak is lost between buckets. */
function dataOf(set: TraceSet, panel: Panel): uPlot.AlignedData {
  return [set.x, ...panel.lines.flatMap((l) => [l.max, l.min])] as unknown as uPlot.AlignedData;
}

interface Inks {
  ink: string;
  soft: string;
  rule: string;
  faint: string;
  band: string;
  font: string;
}

function inks(el: HTMLElement): Inks {
  const style = getComputedStyle(el);
  const of = (name: string) => style.getPropertyValue(name).trim();
  return {
    ink: of("--ink"),
    soft: of("--ink-2"),
    rule: of("--line"),
    faint: of("--line-faint"),
    band: of("--bar"),
    font: `12px ${style.fontFamily}`,
  };
}

interface Wires {
  width: number;
  sync: string;
  onCursor(u: uPlot): void;
  onScale(u: uPlot): void;
}

function optionsOf(panel: Panel, set: TraceSet, last: boolean, ink: Inks, wires: Wires): uPlot.Options {
  const series: uPlot.Series[] = [{}];
  const bands: uPlot.Band[] = [];
  for (const l of panel.lines) {
    const look: uPlot.Series = { stroke: l.broken ? ink.soft : ink.ink, width: 1, points: { show: false } };
    if (l.broken) look.dash = [5, 4];
    series.push({ ...look, label: l.name }, { ...look, label: `${l.name}, least` });
    if (!l.broken) bands.push({ series: [series.length - 2, series.length - 1], fill: `${ink.band}66` });
  }
  const values = (_: uPlot, splits: number[], _i: number, _s: number, step: number) =>
    splits.map((v) => v.toFixed(Math.min(6, decimals(step))).replace("-", "−"));
  const axis: uPlot.Axis = {
    incrs: STEPS,
    stroke: ink.soft,
    font: ink.font,
    grid: { stroke: ink.faint, width: 1 },
    ticks: { stroke: ink.rule, width: 1, size: 5 },
    values,
  };
  return {
    width: wires.width,
    height: heightOf(last),
    padding: [6, 12, last ? 0 : 6, 0],
    legend: { show: false },
    scales: { x: { time: false } },
    series,
    bands,
    axes: [
      last
        ? { ...axis, size: FOOT, label: `${set.xTitle}, ${set.xUnit}`, labelSize: 18, labelFont: ink.font }
        : { ...axis, size: 0, values: () => [], ticks: { show: false } },
      { ...axis, size: 56, space: 26 },
    ],
    cursor: {
      sync: { key: wires.sync, scales: ["x", null] },
      drag: { x: true, y: false },
      points: { size: 5 },
      y: false,
    },
    hooks: {
      setCursor: [wires.onCursor],
      setScale: [(u, key) => key === "x" && wires.onScale(u)],
    },
  };
}
