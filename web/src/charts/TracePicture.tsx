import { axisTitle, extent, linear, tickText } from "./scale";
import type { Line, Panel, TraceSet } from "./traces";
import { type Span, thinned } from "./windows";

interface Props {
  set: TraceSet;
  span: Span;
  title: string;
}

const W = 1000;
const PANEL = 96;
const GAP = 30;
const LEFT = 52;
const RIGHT = W - 12;
const TOP = 46;
/** a bucket per px is as fine as print needs */
const BUCKETS = 960;

/** TracePicture is the drawing of the traces for files and paper; on the screen uPlot draws them. */
export function TracePicture({ set, span, title }: Props) {
  const height = TOP + set.panels.length * (PANEL + GAP) + 34;
  const x = linear({ least: span[0], greatest: span[1], place: [LEFT, RIGHT], count: 8 });
  const at = (v: number) => LEFT + ((v - span[0]) / (span[1] - span[0] || 1)) * (RIGHT - LEFT);
  const ticks = x.ticks.filter((v) => v >= span[0] && v <= span[1]);
  const foot = TOP + set.panels.length * (PANEL + GAP) - GAP + 10;
  return (
    <svg class="trace-picture" data-picture="" viewBox={`0 0 ${W} ${height}`} width={W} height={height}>
      <title>{title}</title>
      <text class="picture-title" x={8} y={18}>
        {title}
      </text>
      {ticks.map((v) => (
        <g key={v}>
          <line class="rule" x1={at(v)} x2={at(v)} y1={foot - 4} y2={foot} />
          <text class="tick" x={at(v)} y={foot + 16} text-anchor="middle">
            {tickText(v, x.step)}
          </text>
        </g>
      ))}
      <text class="axis-title" x={RIGHT} y={foot + 34} text-anchor="end">
        {axisTitle({ title: set.xTitle, unit: set.xUnit })}
      </text>
      {set.panels.map((p, i) => (
        <PanelPicture
          key={p.key}
          panel={p}
          set={set}
          span={span}
          top={TOP + i * (PANEL + GAP)}
          at={at}
          ticks={ticks}
        />
      ))}
    </svg>
  );
}

interface PanelProps {
  panel: Panel;
  set: TraceSet;
  span: Span;
  top: number;
  ticks: readonly number[];
  at(v: number): number;
}

function PanelPicture({ panel, set, span, top, ticks, at }: PanelProps) {
  const lines = panel.lines.map((l) => ({ line: l, t: thinned(set.x, l.min, l.max, span, BUCKETS) }));
  const [lo, hi] = extent(lines.flatMap(({ t }) => [...extent(t.min), ...extent(t.max)]));
  const y = linear({ least: lo, greatest: hi, place: [top + PANEL, top + 14], count: 3 });
  const path = (xs: number[], ys: number[]) =>
    xs.map((v, i) => `${i ? "L" : "M"}${at(v).toFixed(1)} ${y.at(ys[i] ?? 0).toFixed(1)}`).join("");
  return (
    <g>
      <text class="axis-title" x={8} y={top + 4}>
        {axisTitle(panel)}
        {panel.lines.length > 1 ? ` (${panel.lines.map(words).join(", ")})` : ""}
      </text>
      {ticks.map((v) => (
        <line key={v} class="grid" x1={at(v)} x2={at(v)} y1={top + 14} y2={top + PANEL} />
      ))}
      {y.ticks.map((v) => (
        <g key={v}>
          <line class="grid" x1={LEFT} x2={RIGHT} y1={y.at(v)} y2={y.at(v)} />
          <text class="tick" x={LEFT - 6} y={y.at(v)} dy="0.34em" text-anchor="end">
            {tickText(v, y.step)}
          </text>
        </g>
      ))}
      {lines.map(({ line, t }) => (
        <g key={line.name} class={line.broken ? "trace broken" : "trace"}>
          {!line.broken && (
            <path
              class="trace-band"
              d={`${path(t.x, t.max)}${path([...t.x].reverse(), [...t.min].reverse()).replace("M", "L")}Z`}
            />
          )}
          <path class="trace-line" d={path(t.x, t.max)} />
          {!line.broken && <path class="trace-line" d={path(t.x, t.min)} />}
        </g>
      ))}
    </g>
  );
}

const words = (l: Line) => (l.broken ? `${l.name}: broken line` : `${l.name}: full line`);
