import { describe, expect, it } from "vitest";
import { axisTitle, decimals, extent, linear, niceStep, ticksOf, tickText } from "./scale";

describe("steps", () => {
  it("are 1, 2 or 5 times a power of ten", () => {
    for (let span = 1e-6; span < 1e9; span *= 1.37) {
      const s = niceStep(span, 6);
      const lead = s / 10 ** Math.floor(Math.log10(s) + 1e-9);
      expect([1, 2, 5]).toContain(Math.round(lead * 1e6) / 1e6);
      // Rounding to 1-2-5 leaves the number of steps within a factor of √(5/2) of the wish.
      expect(span / s).toBeGreaterThan(6 / 1.6);
      expect(span / s).toBeLessThan(6 * 1.6);
    }
  });
  it("have a fallback for an empty span", () => {
    expect(niceStep(0, 6)).toBe(1);
    expect(niceStep(Number.NaN, 6)).toBe(1);
  });
});

describe("ticks", () => {
  it("are the multiples inside, without rounding noise", () => {
    expect(ticksOf(0, 1, 0.2)).toEqual([0, 0.2, 0.4, 0.6, 0.8, 1]);
    expect(ticksOf(-0.3, 0.3, 0.1)).toEqual([-0.3, -0.2, -0.1, 0, 0.1, 0.2, 0.3]);
    expect(ticksOf(101, 299, 50)).toEqual([150, 200, 250]);
  });
  it("are none for nonsense", () => {
    expect(ticksOf(0, Number.POSITIVE_INFINITY, 1)).toEqual([]);
    expect(ticksOf(0, 1, 0)).toEqual([]);
  });
  it("read with the decimals of the step and a true minus", () => {
    expect(decimals(0.05)).toBe(2);
    expect(decimals(20)).toBe(0);
    expect(tickText(0.2, 0.2)).toBe("0.2");
    expect(tickText(-50, 50)).toBe("−50");
    expect(tickText(-0, 50)).toBe("0");
  });
});

describe("a linear scale", () => {
  it("spans the values with round ends", () => {
    const s = linear({ least: 131, greatest: 217, place: [0, 100], count: 5 });
    expect([s.least, s.greatest]).toEqual([120, 220]);
    expect(s.at(s.least)).toBe(0);
    expect(s.at(s.greatest)).toBe(100);
  });
  it("inverts", () => {
    const s = linear({ least: -40, greatest: 90, place: [300, 20] });
    for (const v of [-40, 0, 12.5, 90]) expect(s.from(s.at(v))).toBeCloseTo(v, 9);
  });
  it("makes room around a single value", () => {
    const s = linear({ least: 7, greatest: 7, place: [0, 10] });
    expect(s.least).toBeLessThan(7);
    expect(s.greatest).toBeGreaterThan(7);
  });
  it("starts at zero when told", () => {
    expect(linear({ least: 30, greatest: 90, place: [0, 1], zero: true }).least).toBe(0);
  });
  it("survives values that are not numbers", () => {
    expect(linear({ least: Number.NaN, greatest: 3, place: [0, 1] }).at(0.5)).toBeCloseTo(0.5);
  });
});

it("extent of nothing is zero", () => {
  expect(extent([])).toEqual([0, 0]);
  expect(extent([3, -1, 2])).toEqual([-1, 3]);
});

it("an axis names its unit", () => {
  expect(axisTitle({ title: "range", unit: "km" })).toBe("range, km");
});
