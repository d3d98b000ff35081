import { useMemo, useRef, useState } from "preact/hooks";
import { Axes, type Sheet } from "./Axes";
import { markPath } from "./marks";
import { bestLine, nearest, type Place, stairs, step, type Way } from "./points";
import { ScatterKey } from "./ScatterKey";
import { type Axis, extent, linear } from "./scale";
import { useWidth } from "./size";
import "./charts.css";

/** Dot is one point: x and y in SI, the shape by kind, filled when strong. */
export interface Dot {
  id: string;
  x: number;
  y: number;
  kind: number;
  strong: boolean;
  words: string;
}

export interface Limit {
  at: number;
  words: string;
}

export interface ScatterProps {
  title: string;
  dots: readonly Dot[];
  xAxis: Axis;
  yAxis: Axis;
  kinds: readonly string[];
  strongWords: string;
  lineWords: string;
  /** limits in SI, drawn as broken lines with their words */
  xLimit?: Limit | undefined;
  yLimit?: Limit | undefined;
  selected: readonly string[];
  chosen: string;
  onPick(id: string, also: boolean): void;
}

const WAYS: Record<string, Way> = {
  ArrowLeft: "left",
  ArrowRight: "right",
  ArrowUp: "up",
  ArrowDown: "down",
};

/** Scatter draws the dots with the best line; arrow keys walk from dot to dot, Enter picks, and what a dot says stands below as text. */
export function Scatter(p: ScatterProps) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const [active, setActive] = useState("");
  const drawn = useMemo(() => draw(p, width), [p.dots, p.xAxis, p.yAxis, p.xLimit, p.yLimit, width]);
  const { places, sheet, x, y, height } = drawn;
  const at = places.find((q) => q.id === active);

  const keys = (e: KeyboardEvent) => {
    const from = at ?? places.find((q) => q.id === p.selected[0]) ?? places[0];
    if (!from) return;
    const way = WAYS[e.key];
    if (way) setActive(at ? step(places, from, way).id : from.id);
    else if (e.key === "Home") setActive(places[0]?.id ?? "");
    else if (e.key === "End") setActive(places.at(-1)?.id ?? "");
    else if (e.key === "Enter" || e.key === " ") p.onPick(from.id, e.shiftKey);
    else if (e.key === "Escape") setActive("");
    else return;
    e.preventDefault();
  };
  const under = (e: MouseEvent) => {
    const r = (e.currentTarget as SVGElement).getBoundingClientRect();
    return nearest(places, e.clientX - r.left, e.clientY - r.top, 26);
  };
  const pick = (e: MouseEvent) => {
    const q = under(e);
    if (q) p.onPick(q.id, e.shiftKey || e.ctrlKey || e.metaKey);
  };

  return (
    <div class="chart" ref={box}>
      <svg
        width={width || 600}
        height={height}
        viewBox={`0 0 ${width || 600} ${height}`}
        class="scatter"
        data-picture=""
        data-foot={footOf(p.kinds.length)}
      >
        <title>{p.title}</title>
        <Axes sheet={sheet} x={x} y={y} xAxis={p.xAxis} yAxis={p.yAxis} />
        <Limits p={p} drawn={drawn} />
        <path class="best" d={drawn.line} />
        <g
          role="listbox"
          aria-label={p.title}
          aria-activedescendant={at ? dotId(places.indexOf(at)) : undefined}
          aria-multiselectable="true"
          tabIndex={0}
          onKeyDown={keys}
          onBlur={() => setActive("")}
          onMouseMove={(e) => setActive(under(e)?.id ?? "")}
          onMouseLeave={() => setActive("")}
          onClick={pick}
        >
          <rect
            class="catch"
            x={sheet.left}
            y={sheet.top}
            width={Math.max(0, sheet.right - sheet.left)}
            height={sheet.bottom - sheet.top}
          />
          {places.map((q, i) => (
            <g
              key={q.id}
              id={dotId(i)}
              role="option"
              tabIndex={-1}
              aria-selected={p.selected.includes(q.id)}
              aria-label={q.words}
              transform={`translate(${q.x} ${q.y})`}
            >
              <path class={q.strong ? "mark strong" : "mark"} d={markPath(q.kind, q.strong ? 5 : 4)} />
            </g>
          ))}
        </g>
        {places.map((q) => (
          <g key={q.id} class="over" transform={`translate(${q.x} ${q.y})`}>
            {p.selected.includes(q.id) && <circle class="ring" r={10} />}
            {p.chosen === q.id && <path class="chosen" d="M-14 0H-8M8 0H14M0 -14V-8M0 8V14" />}
          </g>
        ))}
        <PictureKey p={p} top={height} />
        {at && (
          <g class="cross">
            <path d={`M${sheet.left} ${at.y}H${at.x - 9}M${at.x} ${at.y + 9}V${sheet.bottom}`} />
            <circle r={9} cx={at.x} cy={at.y} />
          </g>
        )}
      </svg>
      <p class="readout" aria-live="polite">
        {at ? (
          at.words
        ) : (
          <span class="quiet">Point at a mark or walk the marks with the arrow keys; Enter selects.</span>
        )}
      </p>
      <ScatterKey
        kinds={p.kinds}
        strongWords={p.strongWords}
        lineWords={p.lineWords}
        chosen={p.chosen !== ""}
      />
    </div>
  );
}

const dotId = (i: number) => `dot-${i}`;

interface Drawn {
  places: (Place & Dot)[];
  sheet: Sheet;
  x: ReturnType<typeof linear>;
  y: ReturnType<typeof linear>;
  line: string;
  height: number;
}

function draw(p: ScatterProps, width: number): Drawn {
  const w = width || 600;
  const height = Math.round(Math.min(Math.max(w * 0.82, 300), 620));
  const sheet = { left: 52, right: w - 24, top: 34, bottom: height - 50 };
  const fx = p.xAxis.from;
  const fy = p.yAxis.from;
  const withLimit = (values: number[], limit: Limit | undefined, f: Axis["from"]) => {
    const [lo, hi] = extent(values);
    // A limit far off the field would squeeze it; then it is left to the words.
    const near = limit && Math.abs(f(limit.at) - (lo + hi) / 2) < 1.2 * (hi - lo || 1);
    return near ? extent([lo, hi, f(limit.at)]) : ([lo, hi] as const);
  };
  const [x0, x1] = withLimit(
    p.dots.map((d) => fx(d.x)),
    p.xLimit,
    fx,
  );
  const [y0, y1] = withLimit(
    p.dots.map((d) => fy(d.y)),
    p.yLimit,
    fy,
  );
  const x = linear({
    least: x0,
    greatest: x1,
    place: [sheet.left, sheet.right],
    count: Math.max(3, w / 110),
  });
  const y = linear({ least: y0, greatest: y1, place: [sheet.bottom, sheet.top], count: height / 60 });
  const places = p.dots.map((d) => ({ ...d, x: x.at(fx(d.x)), y: y.at(fy(d.y)) }));
  const flipped = bestLine(places.map((q) => ({ ...q, y: -q.y })));
  const line = stairs(
    flipped.map((q) => ({ ...q, y: -q.y })),
    sheet.right,
  );
  return { places, sheet, x, y, line, height };
}

/** PictureKey is title and key as they stand in a file of the drawing; on the screen both are text beside it. */
function PictureKey({ p, top }: { p: ScatterProps; top: number }) {
  const lines = [
    ...p.kinds.map((words, kind) => ({ words, kind, strong: false })),
    { words: `${p.strongWords}: filled`, kind: 0, strong: true },
  ];
  return (
    <g class="picture-only">
      <text x={8} y={top + 18}>
        {p.title}
      </text>
      {lines.map((l, i) => (
        <g key={l.words} transform={`translate(16 ${top + 40 + 20 * i})`}>
          <path class={l.strong ? "mark strong" : "mark"} d={markPath(l.kind, 5)} />
          <text x={14} dy="0.34em">
            {l.words}
          </text>
        </g>
      ))}
      <g transform={`translate(8 ${top + 40 + 20 * lines.length})`}>
        <path class="best" d="M0 4H8V0H16V-4H20" />
        <text x={26} dy="0.34em">
          {p.lineWords}
        </text>
      </g>
    </g>
  );
}

const footOf = (kinds: number) => 60 + 20 * (kinds + 1);

function Limits({ p, drawn: { sheet, x, y } }: { p: ScatterProps; drawn: Drawn }) {
  const lx = p.xLimit ? p.xAxis.from(p.xLimit.at) : Number.NaN;
  const ly = p.yLimit ? p.yAxis.from(p.yLimit.at) : Number.NaN;
  return (
    <g class="limits">
      {lx >= x.least && lx <= x.greatest && (
        <>
          <line class="limit" x1={x.at(lx)} x2={x.at(lx)} y1={sheet.top} y2={sheet.bottom} />
          <text class="limit-words" x={x.at(lx) - 5} y={sheet.bottom - 6} text-anchor="end">
            {p.xLimit?.words}
          </text>
        </>
      )}
      {ly >= y.least && ly <= y.greatest && (
        <>
          <line class="limit" x1={sheet.left} x2={sheet.right} y1={y.at(ly)} y2={y.at(ly)} />
          <text class="limit-words" x={sheet.right - 4} y={y.at(ly) - 5} text-anchor="end">
            {p.yLimit?.words}
          </text>
        </>
      )}
    </g>
  );
}
