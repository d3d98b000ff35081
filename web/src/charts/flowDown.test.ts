import { describe, expect, it } from "vitest";
import type { FlowLinkIn, FlowNodeIn } from "./flow";
import { planDown } from "./flowDown";

const nodes: FlowNodeIn[] = [
  { id: "wall", name: "from the wall", kind: "supply" },
  { id: "cells", name: "cells", kind: "stage" },
  { id: "motor", name: "motor", kind: "stage" },
  { id: "wheels", name: "wheels", kind: "stage" },
  { id: "charging", name: "lost while charging", kind: "loss" },
  { id: "heat", name: "lost in the motor", kind: "loss" },
  { id: "joints", name: "joints", kind: "loss" },
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
  link("cells", "joints", 1),
  link("cells", "motor", 89),
  link("motor", "heat", 19),
  link("motor", "wheels", 100),
  link("wheels", "motor", 30, true),
  link("wheels", "air", 50),
  link("wheels", "grade", 20),
];
const size = { width: 740, trunk: 180 };
const p = planDown(nodes, links, size);

describe("a flow that runs down", () => {
  it("draws every link once, and nothing that carries nothing", () => {
    const drawn = (list: FlowLinkIn[]) => planDown(nodes, list, size).bands.map((b) => `${b.from}>${b.to}`);
    const names = links.map((l) => `${l.from}>${l.to}`).sort();
    expect(p.bands.map((b) => `${b.from}>${b.to}`).sort()).toEqual(names);
    expect(drawn([...links, link("motor", "grade", 0)]).sort()).toEqual(names);
  });
  it("draws the busiest post as wide as the trunk may be, and the scale says so", () => {
    expect(p.scale * size.trunk).toBeCloseTo(119); // the motor gives 19 + 100
    const wheels = p.posts.find((q) => q.id === "wheels");
    expect(wheels?.energy).toBe(100);
  });
  it("goes down from post to post", () => {
    const order = ["wall", "cells", "motor", "wheels"].map(
      (id) => p.posts.find((q) => q.id === id)?.top ?? 0,
    );
    expect(order).toEqual([...order].sort((a, b) => a - b));
    expect(new Set(order).size).toBe(4);
  });
  it("gives the words of every loss and use a line of their own, inside the picture", () => {
    const lines = p.bands.filter((b) => b.kind === "sink").map((b) => b.at.y);
    const sorted = [...lines].sort((a, b) => a - b);
    for (const [i, y] of sorted.entries()) {
      if (i > 0) expect(y - (sorted[i - 1] ?? 0)).toBeGreaterThanOrEqual(18);
      expect(y).toBeLessThan(p.height);
    }
  });
  it("leads no loss across another: of one post, the one further left ends lower", () => {
    const start = (d: string) => Number(/^M([\d.]+)/.exec(d)?.[1]);
    const ofWheels = p.bands.filter((b) => b.from === "wheels" && b.kind === "sink");
    const byStart = [...ofWheels].sort((a, b) => start(a.d) - start(b.d));
    expect(byStart.map((b) => b.at.y)).toEqual([...byStart.map((b) => b.at.y)].sort((a, b) => b - a));
  });
  it("stands even where nothing flows", () => {
    expect(planDown(nodes, [], size).bands).toEqual([]);
  });
});
