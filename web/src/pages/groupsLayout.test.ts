import { describe, expect, it } from "vitest";
import type { GroupBay, GroupModule, Metre, Vec } from "../api/types";
import { covers, density, elevationsOf, ends, nearest, row, widened } from "./groupsLayout";

const vec = (...v: number[]) => v as unknown as Vec;
const mod = (at: number[], size: number[], along: string, first: number): GroupModule => ({
  at_m: vec(...at),
  size_m: vec(...size),
  along,
  terminals: "top",
  string: 1,
  groups: [0, 1].map((k) => ({
    group: first + k,
    at_m: vec(...at.map((a, i) => (i === "xyz".indexOf(along) ? a + (k * (size[i] ?? 0)) / 2 : a))),
    size_m: vec(...size.map((s, i) => (i === "xyz".indexOf(along) ? s / 2 : s))),
    plus_near: k === 0,
  })),
});
const bay = (modules: GroupModule[]): GroupBay => ({
  name: "under the seat",
  size_m: [1 as Metre, 0.5 as Metre, 0.3 as Metre],
  modules,
});

describe("elevations", () => {
  it("draws modules beside one another in one row", () => {
    const e = elevationsOf(
      bay([mod([0, 0, 0], [0.4, 0.2, 0.2], "x", 1), mod([0.5, 0, 0], [0.4, 0.2, 0.2], "x", 3)]),
    );
    expect(e).toHaveLength(1);
    expect(e[0]).toMatchObject({ from: "left", row: 0, width: 1, height: 0.3 });
    expect(e[0]?.modules.map((m) => m.groups.map((g) => g.group))).toEqual([
      [1, 2],
      [3, 4],
    ]);
  });
  it("gives modules behind one another a row each, the nearest first", () => {
    const e = elevationsOf(
      bay([mod([0, 0, 0], [0.4, 0.2, 0.2], "x", 1), mod([0, 0.25, 0], [0.4, 0.2, 0.2], "x", 3)]),
    );
    expect(e.map((x) => [x.row, x.modules[0]?.number])).toEqual([
      [1, 2],
      [2, 1],
    ]);
  });
  it("shows a stack that lies across from the front, so that its groups lie apart", () => {
    const e = elevationsOf(bay([mod([0, 0, 0], [0.2, 0.4, 0.2], "y", 1)]));
    expect(e[0]?.from).toBe("front");
    expect(e[0]?.width).toBe(0.5);
    const [a, b] = e[0]?.modules[0]?.groups ?? [];
    expect(a && b && covers(a, b)).toBe(false);
    expect(b?.x).toBeCloseTo(0.2);
  });
  it("shows an upright stack from the left, its groups above one another", () => {
    const e = elevationsOf(bay([mod([0, 0, 0], [0.2, 0.2, 0.3], "z", 1)]));
    expect(e[0]?.from).toBe("left");
    expect(e[0]?.modules[0]?.upright).toBe(true);
    expect(e[0]?.modules[0]?.groups[1]?.y).toBeCloseTo(0.15);
  });
});

describe("views", () => {
  it("finds the nearest time", () => {
    const t = [0, 10, 20, 40];
    expect([-5, 4, 6, 29, 31, 99].map((x) => nearest(t, x))).toEqual([0, 0, 1, 2, 3, 3]);
    expect(nearest([7], 3)).toBe(0);
  });
  it("cuts the groups of one view", () => expect(row([1, 2, 3, 4, 5, 6], 3, 1)).toEqual([4, 5, 6]));
  it("gives more ink to more, within its bounds", () => {
    expect(density(5, 0, 10)).toBeGreaterThan(density(2, 0, 10));
    expect(density(99, 0, 10)).toBe(density(10, 0, 10));
    expect(density(4, 4, 4)).toBe(0.3);
  });
  it("widens what is nearer than wanted, and nothing else", () => {
    expect(widened([3, 3], 2)).toEqual([2, 4]);
    expect(widened([0, 5], 2)).toEqual([0, 5]);
  });
  it("finds the ends of a series", () => {
    expect(ends([3, -1, 8])).toEqual([-1, 8]);
    expect(ends([])).toEqual([0, 0]);
  });
});
