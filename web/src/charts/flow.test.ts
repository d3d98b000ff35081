import { describe, expect, it } from "vitest";
import { type FlowLinkIn, type FlowNodeIn, plan, ranks } from "./flow";

const nodes: FlowNodeIn[] = [
  { id: "wall", name: "from the wall", kind: "supply" },
  { id: "cells", name: "cells", kind: "stage" },
  { id: "motor", name: "motor", kind: "stage" },
  { id: "wheels", name: "wheels", kind: "stage" },
  { id: "charging", name: "lost while charging", kind: "loss" },
  { id: "heat", name: "lost in the motor", kind: "loss" },
  { id: "air", name: "air", kind: "use" },
  { id: "grade", name: "climbing", kind: "use" },
];
const link = (from: string, to: string, energy_j: number, returned = false): FlowLinkIn => ({
  from,
  to,
  energy_j,
  returned,
});
const links = [
  link("wall", "cells", 90),
  link("wall", "charging", 10),
  link("cells", "motor", 90),
  link("motor", "heat", 20),
  link("motor", "wheels", 100),
  link("wheels", "motor", 30, true),
  link("wheels", "air", 50),
  link("wheels", "grade", 20),
];
const size = { width: 1000, trunk: 100 };

/** corners returns the places at which the strokes of a path end. */
function corners(d: string): [number, number][] {
  let [x, y] = [0, 0];
  return [...d.matchAll(/([A-Y])([^A-Z]*)/g)].map(([, command, rest]) => {
    const n = (rest ?? "").trim().split(/[ ,]+/).map(Number);
    if (command === "V") y = n.at(-1) ?? y;
    else [x, y] = [n.at(-2) ?? x, n.at(-1) ?? y];
    return [x, y];
  });
}

describe("columns", () => {
  it("follow the energy forward, and what comes back moves nothing", () => {
    expect(Object.fromEntries(ranks(nodes, links))).toEqual({ wall: 0, cells: 1, motor: 2, wheels: 3 });
  });
  it("come to an end on a ring", () => {
    const ring = [link("cells", "motor", 1), link("motor", "cells", 1)];
    expect(ranks(nodes, ring).size).toBe(2);
  });
});

describe("the plan of a flow", () => {
  const p = plan(nodes, links, size);
  it("draws every link once", () => {
    expect(p.bands.map((b) => `${b.from}>${b.to}`).sort()).toEqual(
      links.map((l) => `${l.from}>${l.to}`).sort(),
    );
  });
  it("draws the busiest post as high as the trunk may be", () => {
    expect(Math.max(...p.posts.map((q) => q.energy)) / p.scale).toBeCloseTo(size.trunk);
  });
  it("keeps everything on the sheet", () => {
    for (const [x, y] of p.bands.flatMap((b) => corners(b.d))) {
      expect(x).toBeGreaterThanOrEqual(0);
      expect(x).toBeLessThanOrEqual(p.width);
      expect(y).toBeGreaterThanOrEqual(0);
      expect(y).toBeLessThanOrEqual(p.height);
    }
  });
  it("runs the trunk along one upper edge", () => {
    const tops = p.bands
      .filter((b) => b.kind === "forward")
      .map((b) => Number(/^M[\d.]+ ([\d.]+)/.exec(b.d)?.[1]));
    expect(new Set(tops).size).toBe(1);
  });
  it("lets a road that goes down give", () => {
    const down = plan(nodes, [...links.filter((l) => l.to !== "grade"), link("grade", "wheels", 5)], size);
    expect(down.bands.find((b) => b.from === "grade")?.kind).toBe("feed");
  });
  it("leaves out what is nothing, and stands an empty run", () => {
    expect(plan(nodes, [link("wall", "cells", 0)], size).bands).toEqual([]);
  });
});
