// Scales of the charts: numbers to places on the sheet, and round ticks.

/** Scale maps a number to a place in px along one axis. */
export interface Scale {
  readonly least: number;
  readonly greatest: number;
  readonly ticks: readonly number[];
  readonly step: number;
  at(value: number): number;
  from(place: number): number;
}

/** niceStep returns the step 1, 2 or 5 times a power of ten that cuts the span into about count pieces. */
export function niceStep(span: number, count: number): number {
  if (!(span > 0) || !(count > 0)) return 1;
  const raw = span / count;
  const power = 10 ** Math.floor(Math.log10(raw));
  const lead = raw / power;
  const round = lead < Math.SQRT2 ? 1 : lead < Math.sqrt(10) ? 2 : lead < Math.sqrt(50) ? 5 : 10;
  return round * power;
}

/** ticksOf returns the multiples of the step in [least, greatest]. */
export function ticksOf(least: number, greatest: number, step: number): number[] {
  if (!(step > 0) || !Number.isFinite(least + greatest)) return [];
  const first = Math.ceil(least / step - 1e-9);
  const last = Math.floor(greatest / step + 1e-9);
  const out: number[] = [];
  // 1000 bounds the loop; a chart has a dozen ticks.
  for (let k = first; k <= last && out.length < 1000; k++) out.push(clean(k * step, step));
  return out;
}

/** clean takes the rounding noise off a multiple of the step, and the sign off zero. */
function clean(value: number, step: number): number {
  const digits = decimals(step);
  return Number(value.toFixed(Math.min(digits, 20))) + 0;
}

/** decimals is how many decimals a number on a scale of this step needs. */
export function decimals(step: number): number {
  if (!(step > 0)) return 0;
  return Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
}

/** tickText writes a tick as plainly as its step allows. */
export function tickText(value: number, step: number): string {
  const text = Math.abs(value).toFixed(decimals(step));
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

export interface ScaleWish {
  least: number;
  greatest: number;
  /** px of the least and of the greatest value */
  place: readonly [number, number];
  /** about how many steps */
  count?: number;
  /** start at zero when the values are of one sign */
  zero?: boolean;
}

/** linear returns a scale over the values that starts and ends on a round number. */
export function linear(w: ScaleWish): Scale {
  let lo = Math.min(w.least, w.greatest);
  let hi = Math.max(w.least, w.greatest);
  if (!Number.isFinite(lo) || !Number.isFinite(hi)) [lo, hi] = [0, 1];
  if (w.zero) [lo, hi] = [Math.min(lo, 0), Math.max(hi, 0)];
  if (hi - lo <= 1e-12 * Math.max(Math.abs(lo), Math.abs(hi))) {
    const room = Math.abs(lo) > 0 ? Math.abs(lo) * 0.05 : 1;
    [lo, hi] = [lo - room, hi + room];
  }
  const step = niceStep(hi - lo, w.count ?? 6);
  lo = clean(Math.floor(lo / step + 1e-9) * step, step);
  hi = clean(Math.ceil(hi / step - 1e-9) * step, step);
  const [a, b] = w.place;
  const slope = (b - a) / (hi - lo);
  return {
    least: lo,
    greatest: hi,
    step,
    ticks: ticksOf(lo, hi, step),
    at: (value) => a + (value - lo) * slope,
    from: (place) => lo + (place - a) / slope,
  };
}

/** extent returns the least and greatest of the numbers, [0, 0] of none. */
export function extent(values: Iterable<number>): [number, number] {
  let lo = Number.POSITIVE_INFINITY;
  let hi = Number.NEGATIVE_INFINITY;
  for (const v of values) {
    if (v < lo) lo = v;
    if (v > hi) hi = v;
  }
  return lo <= hi ? [lo, hi] : [0, 0];
}

/** Axis is a measure on an axis; from takes an SI value to the unit of the axis. */
export interface Axis {
  title: string;
  unit: string;
  from(si: number): number;
}

/** axisTitle names the measure and its unit: "range, km". */
export function axisTitle(a: { title: string; unit: string }): string {
  return a.unit ? `${a.title}, ${a.unit}` : a.title;
}
