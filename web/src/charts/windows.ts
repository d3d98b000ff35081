// What part of a trace is on the sheet: zooming, panning and reading it.

export type Span = readonly [number, number];

/** zoomed narrows (by < 1) or widens the span around a place in it, within the whole. */
export function zoomed(span: Span, whole: Span, by: number, around = (span[0] + span[1]) / 2): Span {
  const lo = around - (around - span[0]) * by;
  const hi = around + (span[1] - around) * by;
  return [Math.max(whole[0], lo), Math.min(whole[1], hi)];
}

/** panned moves the span by a share of its width and stops at the ends of the whole. */
export function panned(span: Span, whole: Span, share: number): Span {
  const width = span[1] - span[0];
  const lo = Math.min(Math.max(span[0] + share * width, whole[0]), whole[1] - width);
  return [lo, lo + width];
}

/** bucketsFor returns how many buckets a whole run needs for the part of it on the sheet to be as fine as wanted, in steps of two so that not every touch asks anew. */
export function bucketsFor(span: Span, whole: Span, wanted: number, most: number): number {
  const share = (span[1] - span[0]) / (whole[1] - whole[0]);
  if (!(share > 0)) return wanted;
  return Math.min(most, wanted * 2 ** Math.ceil(Math.log2(Math.max(1, 1 / share)) - 1e-9));
}

/** indexAt returns the index of the last entry at or before x, of a rising series. */
export function indexAt(series: readonly number[], x: number): number {
  let lo = 0;
  let hi = series.length - 1;
  while (lo < hi) {
    const m = (lo + hi + 1) >> 1;
    if ((series[m] ?? Number.POSITIVE_INFINITY) <= x) lo = m;
    else hi = m - 1;
  }
  return lo;
}

/** Thinned is a series of least and greatest values at places x. */
export interface Thinned {
  x: number[];
  min: number[];
  max: number[];
}

/** thinned merges buckets until at most count are left between the ends of the span; no peak is lost. */
export function thinned(
  x: readonly number[],
  min: readonly number[],
  max: readonly number[],
  span: Span,
  count: number,
): Thinned {
  const first = indexAt(x, span[0]);
  const last = indexAt(x, span[1]);
  const each = Math.max(1, Math.ceil((last - first + 1) / count));
  const out: Thinned = { x: [], min: [], max: [] };
  for (let i = first; i <= last; i += each) {
    let lo = Number.POSITIVE_INFINITY;
    let hi = Number.NEGATIVE_INFINITY;
    for (let k = i; k < Math.min(i + each, last + 1); k++) {
      lo = Math.min(lo, min[k] ?? lo);
      hi = Math.max(hi, max[k] ?? hi);
    }
    out.x.push(Math.min(Math.max(x[i] ?? span[0], span[0]), span[1]));
    out.min.push(lo);
    out.max.push(hi);
  }
  return out;
}
