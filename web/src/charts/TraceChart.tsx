import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { dark } from "../state/prefs";
import { useWidth } from "./size";
import { TracePicture } from "./TracePicture";
import type { TraceSet, Traces } from "./traces";
import { indexAt, panned, type Span, zoomed } from "./windows";
import "./charts.css";

interface Props {
  title: string;
  set: TraceSet;
  /** the figures of one bucket in words, for the line below and the screen reader */
  figures(index: number): { name: string; text: string }[];
  /** told when another part of the run is on the sheet */
  onSpan?(span: Span, whole: Span): void;
  /** told where the cursor stands, null when it is away */
  onCursor?(index: number | null): void;
}

/** TraceChart shows long series: drag or + − to zoom, arrow keys to read, 0 for the whole run. */
export function TraceChart({ title, set, figures, onSpan, onCursor }: Props) {
  const holder = useRef<HTMLDivElement>(null);
  const drawn = useRef<Traces | null>(null);
  const width = useWidth(holder);
  const [index, setIndex] = useState<number | null>(null);
  const whole: Span = [set.x[0] ?? 0, set.x.at(-1) ?? 1];
  const [span, setSpan] = useState<Span>(whole);
  const [calm, setCalm] = useState<Span>(whole);
  const keep = useRef<{ x: string; span: Span } | null>(null);
  const theme = dark.value;
  const at = (i: number | null) => {
    setIndex(i);
    onCursor?.(i);
  };

  useEffect(() => {
    const el = holder.current;
    if (!el) return;
    let ended = false;
    const zoomedBefore = keep.current?.x === set.xTitle ? keep.current.span : null;
    void import("./traces").then(({ drawTraces }) => {
      if (ended) return;
      drawn.current = drawTraces(el, set, {
        onCursor: at,
        onZoom: (lo, hi) => {
          keep.current = { x: set.xTitle, span: [lo, hi] };
          setSpan([lo, hi]);
          onSpan?.([lo, hi], whole);
        },
      });
      if (zoomedBefore) drawn.current.zoom(...zoomedBefore);
    });
    return () => {
      ended = true;
      drawn.current?.end();
      drawn.current = null;
    };
  }, [set, theme]);

  useEffect(() => {
    if (width > 0) drawn.current?.resize(width);
  }, [width]);

  // The drawing for paper follows once the zoom stands still.
  useEffect(() => {
    const timer = setTimeout(() => setCalm(span), 300);
    return () => clearTimeout(timer);
  }, [span]);
  const picture = useMemo(() => <TracePicture set={set} span={calm} title={title} />, [set, calm, title]);

  const point = (i: number) => {
    const k = Math.min(Math.max(i, 0), set.x.length - 1);
    at(k);
    drawn.current?.point(k);
  };
  const show = (s: Span) => drawn.current?.zoom(...s);
  const around = () => (index === null ? undefined : set.x[index]);
  const keys = (e: KeyboardEvent) => {
    const [lo, hi] = [indexAt(set.x, span[0]), indexAt(set.x, span[1])];
    const stride = e.shiftKey ? Math.max(1, Math.round((hi - lo) / 20)) : 1;
    const from = index ?? lo;
    if (e.key === "ArrowRight") point(from + stride);
    else if (e.key === "ArrowLeft") point(from - stride);
    else if (e.key === "Home") point(lo);
    else if (e.key === "End") point(hi);
    else if (e.key === "+" || e.key === "=") show(zoomed(span, whole, 0.5, around()));
    else if (e.key === "-") show(zoomed(span, whole, 2, around()));
    else if (e.key === "PageDown") show(panned(span, whole, 0.5));
    else if (e.key === "PageUp") show(panned(span, whole, -0.5));
    else if (e.key === "0" || e.key === "Escape") show(whole);
    else return;
    e.preventDefault();
  };
  const read = index === null ? [] : figures(index);
  const full = span[0] <= whole[0] && span[1] >= whole[1];

  return (
    <div class="chart">
      <div class="trace-tools">
        <button type="button" onClick={() => show(zoomed(span, whole, 0.5, around()))} aria-label="zoom in">
          +
        </button>
        <button
          type="button"
          onClick={() => show(zoomed(span, whole, 2, around()))}
          disabled={full}
          aria-label="zoom out"
        >
          −
        </button>
        <button
          type="button"
          onClick={() => show(panned(span, whole, -0.5))}
          disabled={full}
          aria-label="earlier"
        >
          ←
        </button>
        <button
          type="button"
          onClick={() => show(panned(span, whole, 0.5))}
          disabled={full}
          aria-label="later"
        >
          →
        </button>
        <button type="button" onClick={() => show(whole)} disabled={full}>
          whole run
        </button>
      </div>
      {read.length === 0 ? (
        <p class="figures quiet">
          Point at the traces or use the arrow keys to read them; drag, or + and −, to zoom; 0 shows the whole
          run.
        </p>
      ) : (
        <dl class="figures">
          {read.map((f) => (
            <div key={f.name}>
              <dt>{f.name}</dt>
              <dd>{f.text}</dd>
            </div>
          ))}
        </dl>
      )}
      <div
        ref={holder}
        class="traces"
        role="slider"
        tabIndex={0}
        aria-label={`${title}: place along the run`}
        aria-valuemin={0}
        aria-valuemax={set.x.length - 1}
        aria-valuenow={index ?? 0}
        aria-valuetext={read.map((f) => `${f.name} ${f.text}`).join(", ") || "nothing read yet"}
        onKeyDown={keys}
      />
      {picture}
    </div>
  );
}
