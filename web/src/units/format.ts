// The only place that turns SI numbers into text. Nothing is read back: what a
// builder types goes to the server as it is.

import type {
  Ampere,
  AmpereSecond,
  CubicMetre,
  Figure,
  Joule,
  JoulePerKg,
  JoulePerMetre,
  Kelvin,
  Kg,
  Metre,
  MetrePerSecond,
  Ohm,
  Second,
  Volt,
} from "../api/types";
import type { System } from "../state/prefs";
import { quantities, type Step } from "./table.gen";

/** More digits say nothing about an estimate; an axle load needs them all. */
const digitsShown = 4;
const digitsMost = 12;
/** Parts the thousands, and does not break. */
const thin = "\u202f";
const minus = "\u2212";

/** A number and its unit, apart: "216.7", "km". */
export interface Shown {
  number: string;
  unit: string;
}

/** Joins a number and its unit with a space that does not break. */
export function joined(s: Shown): string {
  return s.unit === "" ? s.number : `${s.number}\u00a0${s.unit}`;
}

function grouped(digits: string): string {
  const [whole = "", part] = digits.split(".");
  const long = whole.replace("-", "").length > 4;
  const w = long ? whole.replace(/\B(?=(\d{3})+$)/g, thin) : whole;
  return (part === undefined ? w : `${w}.${part}`).replace("-", minus);
}

function decimals(x: number, digits: number): number {
  if (x === 0) return 0;
  const exponent = Number(x.toExponential(digits - 1).split("e")[1]);
  return Math.min(20, Math.max(0, digits - 1 - exponent));
}

function trimmed(s: string): string {
  const t = s.includes(".") ? s.replace(/\.?0+$/, "") : s;
  return t === "-0" ? "0" : t;
}

const raised: Record<string, string> = {
  ...Object.fromEntries([..."⁰¹²³⁴⁵⁶⁷⁸⁹"].map((c, i) => [String(i), c])),
  "-": "⁻",
};

/** A number with four significant digits and no zeros that say nothing. */
export function number(x: number, digits = digitsShown): string {
  if (!Number.isFinite(x)) return "–";
  const size = Math.abs(x);
  if (size !== 0 && (size >= 1e7 || size < 1e-4)) {
    const [m = "", e = "0"] = x.toExponential(digits - 1).split("e");
    const power = String(Number(e)).replace(/./g, (c) => raised[c] ?? c);
    return `${trimmed(m).replace("-", minus)}·10${power}`;
  }
  return grouped(trimmed(x.toFixed(decimals(x, digits))));
}

/** A number with as many decimals as said, for columns. */
export function fixed(x: number, places: number): string {
  if (!Number.isFinite(x)) return "–";
  const s = x.toFixed(places);
  return grouped(Number(s) === 0 ? s.replace("-", "") : s);
}

/** A whole number: 66 367. */
export function count(n: number): string {
  return grouped(String(Math.round(n)));
}

function stepFor(noun: string, symbol: string, size: number, system: System): Step {
  const q = quantities[noun];
  const bare: Step = { unit: symbol === "1" ? "" : symbol, from: 0, home: true, factor: 1, offset: 0 };
  if (!q || (symbol !== "" && q.symbol !== symbol)) return bare;
  if (noun === "ratio" && size > 1) return bare; // above one it is a factor, not a share
  const steps = system === "us" ? q.us : q.si;
  let best = steps[0] ?? bare;
  for (const s of steps) {
    if (size === 0 ? s.home : size * (1 + 5e-5) >= s.from) best = s;
  }
  return best.unit === "1" ? { ...best, unit: "" } : best;
}

/** One unit for a whole column or axis: the one that suits its greatest value. */
export interface Scale {
  unit: string;
  /** SI to the unit, for axes. */
  from(si: number): number;
  /** With the decimals that the greatest value is shown with. */
  text(si: number): string;
}

export function scale(noun: string, values: readonly number[], system: System, digits = digitsShown): Scale {
  const finite = values.filter((v) => Number.isFinite(v));
  const size = finite.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
  const s = stepFor(noun, "", size, system);
  const from = (si: number) => (si - s.offset) / s.factor;
  const most = finite.reduce((m, v) => Math.max(m, Math.abs(from(v))), 0);
  const places = most === 0 ? 0 : decimals(most, digits);
  return { unit: s.unit, from, text: (si) => fixed(from(si), places) };
}

/** An SI value of the noun in the unit that suits it. */
export function shown(noun: string, si: number, system: System, digits = digitsShown): Shown {
  return like({ si, symbol: quantities[noun]?.symbol ?? "1", noun }, si, system, digits);
}

function like(f: Figure, size: number, system: System, digits: number): Shown {
  const s = stepFor(f.noun, f.symbol, Math.abs(size), system);
  const x = (f.si - s.offset) / s.factor;
  // A temperature has one decimal, since its zero is a convention.
  if (s.offset !== 0)
    return { number: grouped(trimmed(x.toFixed(Math.max(1, digits - digitsShown)))), unit: s.unit };
  return { number: number(x, digits), unit: s.unit };
}

export function text(noun: string, si: number, system: System): string {
  return joined(shown(noun, si, system));
}

/** Money: whole above a hundred. */
export function money(amount: number, currency: string, digits = digitsShown): Shown {
  const whole = (Math.abs(amount) >= 100 && digits <= digitsShown) || Number.isInteger(amount);
  const n = whole ? count(amount) : grouped(trimmed(amount.toFixed(Math.max(2, decimals(amount, digits)))));
  return { number: n, unit: currency };
}

/** A share of one in per cent: one decimal below ten. */
export function percent(ratio: number): string {
  const x = 100 * ratio;
  return `${fixed(x, Math.abs(x) < 9.95 && x !== 0 ? 1 : 0)}\u00a0%`;
}

function isCount(f: Figure): boolean {
  return f.symbol === "1" && !(f.noun in quantities) && Number.isInteger(f.si);
}

/** Any figure of the server, as number and unit. */
export function figureShown(f: Figure, system: System, digits = digitsShown): Shown {
  if (f.noun === "yes") return { number: f.si === 0 ? "no" : "yes", unit: "" };
  if (f.noun === "money") return money(f.si, f.symbol, digits);
  if (isCount(f)) return { number: count(f.si), unit: f.noun };
  return like(f, f.si, system, digits);
}

export function figure(f: Figure, system: System): string {
  return joined(figureShown(f, system));
}

/** A value and its limit with as many digits as it takes to tell them apart. */
export function apart(value: Figure, limit: Figure, system: System): [string, string] {
  for (let n = digitsShown; ; n++) {
    const v = joined(figureShown(value, system, n));
    const l = joined(figureShown(limit, system, n));
    if (v !== l || value.si === limit.si || n >= digitsMost) return [v, l];
  }
}

/** With a sign before it, for differences. */
export function signed(s: string): string {
  return s.startsWith(minus) || s.startsWith("0") ? s : `+${s}`;
}

export const mass = (x: Kg, s: System) => text("mass", x, s);
export const length = (x: Metre, s: System) => text("length", x, s);
export const volume = (x: CubicMetre, s: System) => text("volume", x, s);
export const time = (x: Second, s: System) => text("time", x, s);
export const speed = (x: MetrePerSecond, s: System) => text("speed", x, s);
export const energy = (x: Joule, s: System) => text("energy", x, s);
export const consumption = (x: JoulePerMetre, s: System) => text("consumption", x, s);
export const specificEnergy = (x: JoulePerKg, s: System) => text("specific energy", x, s);
export const voltage = (x: Volt, s: System) => text("voltage", x, s);
export const current = (x: Ampere, s: System) => text("current", x, s);
export const charge = (x: AmpereSecond, s: System) => text("charge", x, s);
export const resistance = (x: Ohm, s: System) => text("resistance", x, s);
export const temperature = (x: Kelvin, s: System) => text("temperature", x, s);
/** A distance driven: whole kilometres are enough above a hundred. */
export function distance(x: Metre, s: System): string {
  const d = scale("length", [x], s);
  return joined({ number: number(d.from(x), Math.abs(d.from(x)) >= 100 ? 3 : 3), unit: d.unit });
}
