import { describe, expect, it } from "vitest";
import { bucketsFor, indexAt, panned, type Span, thinned, zoomed } from "./windows";

const whole: Span = [0, 1000];

describe("zoom", () => {
  it("halves around the middle", () => {
    expect(zoomed(whole, whole, 0.5)).toEqual([250, 750]);
  });
  it("keeps the place under the cursor where it is", () => {
    const [lo, hi] = zoomed(whole, whole, 0.5, 200);
    expect((200 - lo) / (hi - lo)).toBeCloseTo(0.2);
  });
  it("never leaves the run", () => {
    expect(zoomed([0, 500], whole, 4)).toEqual([0, 1000]);
  });
  it("comes back from in and out again", () => {
    expect(zoomed(zoomed([400, 600], whole, 0.5), whole, 2)).toEqual([400, 600]);
  });
});

it("panning stops at both ends with the width kept", () => {
  expect(panned([900, 1000], whole, 0.5)).toEqual([900, 1000]);
  expect(panned([10, 110], whole, -0.5)).toEqual([0, 100]);
  expect(panned([100, 200], whole, 0.5)).toEqual([150, 250]);
});

describe("buckets", () => {
  it("double as the sheet shows half", () => {
    expect(bucketsFor(whole, whole, 1000, 20000)).toBe(1000);
    expect(bucketsFor([0, 500], whole, 1000, 20000)).toBe(2000);
    expect(bucketsFor([0, 499], whole, 1000, 20000)).toBe(4000);
  });
  it("have an end", () => {
    expect(bucketsFor([0, 1], whole, 1000, 20000)).toBe(20000);
    expect(bucketsFor([5, 5], whole, 1000, 20000)).toBe(1000);
  });
});

it("the index is that of the bucket that holds the place", () => {
  const x = [0, 10, 20, 20, 30];
  expect([-1, 0, 9.9, 10, 20, 99].map((v) => indexAt(x, v))).toEqual([0, 0, 0, 1, 3, 4]);
});

describe("thinning", () => {
  const x = Array.from({ length: 1000 }, (_, i) => i);
  const y = x.map((i) => ((i * 7919) % 997) - 400);
  it("keeps the least and the greatest", () => {
    const t = thinned(x, y, y, [0, 999], 40);
    expect(t.x.length).toBeLessThanOrEqual(40);
    expect(Math.min(...t.min)).toBe(Math.min(...y));
    expect(Math.max(...t.max)).toBe(Math.max(...y));
  });
  it("leaves a short series as it is", () => {
    expect(thinned([0, 1, 2], [5, 4, 3], [6, 5, 4], [0, 2], 10)).toEqual({
      x: [0, 1, 2],
      min: [5, 4, 3],
      max: [6, 5, 4],
    });
  });
  it("shows the span only", () => {
    const t = thinned(x, y, y, [100, 199], 1000);
    expect([t.x[0], t.x.at(-1), t.x.length]).toEqual([100, 199, 100]);
  });
});
