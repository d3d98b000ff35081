import { describe, expect, it } from "vitest";
import { bestLine, nearest, type Place, stairs, step } from "./points";

const at = (id: string, x: number, y: number): Place => ({ id, x, y });
const field = [at("a", 1, 5), at("b", 2, 4), at("c", 2, 7), at("d", 3, 7), at("e", 5, 9), at("f", 4, 1)];

describe("the best line", () => {
  it("leaves out what another point beats", () => {
    expect(bestLine(field).map((p) => p.id)).toEqual(["a", "c", "e"]);
  });
  it("holds no point below and to the right of another", () => {
    const many = Array.from({ length: 500 }, (_, i) => at(String(i), (i * 7919) % 503, (i * 104729) % 499));
    const line = bestLine(many);
    for (const p of line) expect(many.some((q) => q.x <= p.x && q.y > p.y)).toBe(false);
  });
  it("of nothing is nothing", () => {
    expect(bestLine([])).toEqual([]);
    expect(stairs([], 9)).toBe("");
  });
  it("is drawn in steps to the end", () => {
    expect(stairs([at("a", 1, 5), at("c", 2, 7)], 9)).toBe("M1 5H2V7H9");
  });
});

describe("the pointer", () => {
  it("finds the nearest point within reach only", () => {
    expect(nearest(field, 4.6, 8.8, 2)?.id).toBe("e");
    expect(nearest(field, 40, 40, 2)).toBeUndefined();
  });
});

describe("arrow keys", () => {
  it("lead to the neighbour on that side", () => {
    expect(step(field, field[2] as Place, "right").id).toBe("d");
    expect(step(field, field[3] as Place, "left").id).toBe("c");
  });
  it("stay where nothing is further on", () => {
    expect(step(field, field[4] as Place, "right").id).toBe("e");
  });
  it("lead from one end to the other", () => {
    let p = field[0] as Place;
    for (let i = 0; i < 10; i++) p = step(field, p, "right");
    expect(p.id).toBe("e");
  });
});
