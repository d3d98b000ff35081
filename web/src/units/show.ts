// The formatters bound to the units that this browser prefers. Called while a
// component renders, it renders again when the preference changes.

import type { Figure } from "../api/types";
import { units } from "../state/prefs";
import * as f from "./format";

export { count, fixed, joined, number, percent, signed } from "./format";

const bound =
  <X>(print: (x: X, s: "si" | "us") => string) =>
  (x: X) =>
    print(x, units.value);

export const mass = bound(f.mass);
export const length = bound(f.length);
export const distance = bound(f.distance);
export const volume = bound(f.volume);
export const time = bound(f.time);
export const speed = bound(f.speed);
export const energy = bound(f.energy);
export const consumption = bound(f.consumption);
export const specificEnergy = bound(f.specificEnergy);
export const voltage = bound(f.voltage);
export const current = bound(f.current);
export const charge = bound(f.charge);
export const resistance = bound(f.resistance);
export const temperature = bound(f.temperature);
export const figure = bound(f.figure);
export const money = (amount: number, currency: string) => f.joined(f.money(amount, currency));
export const figureShown = (x: Figure) => f.figureShown(x, units.value);
export const apart = (value: Figure, limit: Figure) => f.apart(value, limit, units.value);
export const text = (noun: string, si: number) => f.text(noun, si, units.value);
/** One unit for a column or axis, see format.ts. */
export const scale = (noun: string, values: readonly number[], digits?: number) =>
  f.scale(noun, values, units.value, digits);
