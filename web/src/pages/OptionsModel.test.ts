import { describe, expect, it } from "vitest";
import type { Report } from "../api/types";
import fixture from "./Options.fixture.json";
import {
  bayWords,
  kept,
  linesOf,
  noFilter,
  picked,
  relaxationOf,
  rulesOf,
  sourceOf,
  widest,
} from "./OptionsModel";

// Recorded from `packyard options examples/orchard-truck --json`, shortened.
const report = fixture as unknown as Report;
const lines = linesOf(report);

describe("the lines of the table", () => {
  it("are the ranked packs in order, then what is in the Pareto set only", () => {
    expect(lines.slice(0, 8).map((l) => l.rank)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect(lines.slice(8).every((l) => l.rank === 0 && l.row.pareto)).toBe(true);
  });
  it("hold every option once", () => {
    const ids = lines.map((l) => l.row.id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const r of [...report.ranked, ...report.pareto]) expect(ids).toContain(r.id);
  });
  it("know their source", () => {
    for (const l of lines) expect(report.sources.map((s) => s.name)).toContain(l.source);
  });
  it("take the longest name when one source's begins another's", () => {
    const two = {
      ...report,
      sources: [
        { name: "a", candidates: 1 },
        { name: "a/b", candidates: 1 },
      ],
    };
    expect(sourceOf("a/b/12S1P/x", two)).toBe("a/b");
  });
});

describe("the filter", () => {
  it("leaves all when nothing is asked", () => {
    expect(kept(lines, noFilter)).toEqual(lines);
  });
  it("keeps one rule, and the rules add up", () => {
    const parts = rulesOf(lines).map((rule) => kept(lines, { ...noFilter, rule }));
    for (const p of parts) expect(p.length).toBeGreaterThan(0);
    expect(parts.reduce((n, p) => n + p.length, 0)).toBe(lines.length);
  });
  it("keeps one source", () => {
    for (const l of kept(lines, { ...noFilter, source: "new-lfp" })) expect(l.row.id).toMatch(/^new-lfp\//);
  });
  it("wants every word, in any order and case", () => {
    const found = kept(lines, { ...noFilter, text: "76s6p SALV" });
    expect(found.map((l) => l.row.topology)).toContain("76S6P");
    expect(kept(lines, { ...noFilter, text: "76S6P new-lfp" })).toEqual([]);
  });
  it("keeps the Pareto set only", () => {
    const front = kept(lines, { ...noFilter, paretoOnly: true });
    expect(front.length).toBeLessThan(lines.length);
    expect(front.every((l) => l.row.pareto)).toBe(true);
  });
});

describe("picking two", () => {
  it("adds, takes out, and lets the older go", () => {
    expect(picked([], "a")).toEqual(["a"]);
    expect(picked(["a"], "b")).toEqual(["a", "b"]);
    expect(picked(["a", "b"], "c")).toEqual(["b", "c"]);
    expect(picked(["a", "b"], "a")).toEqual(["b"]);
  });
});

describe("what is asked of a miss", () => {
  const miss = report.nearest_misses[0];
  it("moves the limit to what was found", () => {
    if (!miss) throw new Error("no miss in the fixture");
    expect(relaxationOf(miss)).toEqual({
      option: miss.option.id,
      limits: [{ rule: miss.limits[0]?.rule, to_si: miss.limits[0]?.value.si }],
    });
  });
  it("grows the bay in place of the space", () => {
    if (!miss) throw new Error("no miss in the fixture");
    const bay_growth = { bay: "engine bay", axis: "width", by_m: 0.265 } as never;
    const limits = [{ ...(miss.limits[0] as object), rule: "space.bays" }] as never;
    expect(relaxationOf({ ...miss, limits, bay_growth })).toEqual({
      option: miss.option.id,
      limits: [],
      growth: bay_growth,
    });
  });
});

it("bays are named where their names are known", () => {
  expect(bayWords([2, 0], ["engine bay", "left side"])).toBe("engine bay: 2, left side: 0");
  expect(bayWords([2, 0], [])).toBe("2, 0");
});

it("the longest bar is the limit that most fell to", () => {
  expect(widest(report.falls)).toBe(Math.max(...report.falls.map((f) => f.alone + f.with_others)));
  expect(widest([])).toBe(1);
});
