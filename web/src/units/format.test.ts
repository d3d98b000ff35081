import { describe, expect, it } from "vitest";
import * as f from "./format";
import { quantities } from "./table.gen";

const nb = "\u00a0";
const of = (noun: string, si: number) => ({ si, noun, symbol: quantities[noun]?.symbol ?? "1" });

describe("figures in the units of a builder", () => {
  // One pound is 0.45359237 kg, one inch 25.4 mm, one mile 1609.344 m, exactly.
  // Source: NIST SP 811, Appendix B.8.
  const cases: [string, number, string, string][] = [
    ["mass", 254.0117, "254 kg", "560 lb"],
    ["mass", 0.0002, "200 mg", "0.007055 oz"],
    ["length", 0.4191, "419.1 mm", "16.5 in"],
    ["length", 80467.2, "80.47 km", "50 mi"],
    ["speed", 27.7777777778, "100 km/h", "62.14 mph"],
    ["energy", 3.6e6, "1 kWh", "1 kWh"],
    ["charge", 378000, "105 Ah", "105 Ah"],
    // 0 °C is 273.15 K and 32 °F. Source: SI brochure, 2.3.1; NIST SP 811, B.8.
    ["temperature", 273.15, "0 °C", "32 °F"],
    ["temperature", 263.15, "−10 °C", "14 °F"],
    ["consumption", 360, "100 Wh/km", "160.9 Wh/mi"],
    ["ratio", 0.125, "12.5 %", "12.5 %"],
    ["ratio", 1.8, "1.8", "1.8"],
  ];
  it.each(cases)("%s of %d", (noun, si, metric, american) => {
    expect(f.text(noun, si, "si").replace(nb, " ")).toBe(metric);
    expect(f.text(noun, si, "us").replace(nb, " ")).toBe(american);
  });

  it("shows four significant digits, and whole numbers in full", () => {
    expect(f.number(319.2)).toBe("319.2");
    expect(f.number(0.012345)).toBe("0.01235");
    expect(f.number(-21.414)).toBe("−21.41");
    expect(f.number(66367)).toBe("66\u202f367");
    expect(f.number(0)).toBe("0");
    expect(f.number(-1e-12)).toBe("−1·10⁻¹²");
    expect(f.number(Number.NaN)).toBe("–");
  });

  it("rises to the next unit by the printed value, not by the true one", () => {
    expect(f.text("mass", 0.99996, "si")).toBe(`1${nb}kg`);
  });

  it("shows money whole above a hundred", () => {
    expect(f.joined(f.money(9178.4, "EUR"))).toBe(`9178${nb}EUR`);
    expect(f.joined(f.money(99.698, "EUR"))).toBe(`99.7${nb}EUR`);
  });

  it("names what it counts", () => {
    expect(f.figure({ si: 114, symbol: "1", noun: "pieces" }, "si")).toBe(`114${nb}pieces`);
    expect(f.figure({ si: 1, symbol: "1", noun: "yes" }, "si")).toBe("yes");
  });

  it("tells a value and its limit apart", () => {
    const [value, limit] = f.apart(of("mass", 1050.02), of("mass", 1050), "si");
    expect(value).not.toBe(limit);
    expect(f.apart(of("mass", 5), of("mass", 5), "si")).toEqual([`5${nb}kg`, `5${nb}kg`]);
  });

  it("keeps one unit and one number of decimals in a column", () => {
    const s = f.scale("mass", [1260, 0.5, -3], "si");
    expect([s.unit, s.text(1260), s.text(0.5), s.text(-3)]).toEqual(["kg", "1260", "1", "−3"]);
    const t = f.scale("temperature", [263.15, 298.15], "si");
    expect(t.unit).toBe("°C");
    expect(t.from(298.15)).toBeCloseTo(25, 9);
  });

  it("has a unit for every quantity in both systems", () => {
    for (const [noun, q] of Object.entries(quantities)) {
      for (const system of ["si", "us"] as const) {
        const text = f.text(noun, 1, system);
        expect(text, noun).toMatch(/\d/);
        if (q.symbol !== "1") expect(text, noun).toMatch(/\D$/);
      }
    }
  });
});
