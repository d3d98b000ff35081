import { describe, expect, it } from "vitest";
import {
  type Bay,
  type Box,
  type Drag,
  dragged,
  endDirection,
  endMiddle,
  flat,
  hull,
  mm,
  opsOf,
  pulled,
  snap,
  unflat,
  type Vec,
} from "./baysGeometry";

/** A box of a bay at `at` turned by `yaw` about the vertical, as the server tells it. */
function box(path: string, bayAt: Vec, axes: Vec[], at: Vec, size: Vec): Box {
  const corners = Array.from({ length: 8 }, (_, i) => {
    const p = at.map((x, a) => x + ((i >> a) & 1) * (size[a] ?? 0));
    return bayAt.map((x, k) => x + axes.reduce((s, e, a) => s + (e[k] ?? 0) * (p[a] ?? 0), 0)) as Vec;
  });
  return { path, at_m: at, size_m: size, corners_m: corners };
}

function bay(yaw = 0): Bay {
  const at: Vec = [0.98, 0.27, 0.27];
  const axes: Vec[] = [
    [Math.cos(yaw), Math.sin(yaw), 0],
    [-Math.sin(yaw), Math.cos(yaw), 0],
    [0, 0, 1],
  ];
  return {
    path: "bays[1]",
    name: "left side",
    at_m: at,
    axes,
    boxes: [box("bays[1]", at, axes, [0, 0, 0], [1.12, 0.43, 0.36])],
    keep_outs: [box("bays[1].keep_out[0]", at, axes, [0.5, 0, 0], [0.2, 0.1, 0.1])],
    places: [],
  };
}

const still: Omit<Drag, "grip"> = { bay: "bays[1]", move: [0, 0, 0], out: 0 };

describe("the views", () => {
  it("show the vehicle from its left with the front to the left, and from above with its left below", () => {
    expect(flat("side", [1, 2, 3])).toEqual([1, -3]);
    expect(flat("top", [1, 2, 3])).toEqual([1, 2]);
    expect(flat("front", [1, 2, 3])).toEqual([2, -3]);
  });

  it("turn a move on the sheet into a move that looks the same", () => {
    for (const look of ["side", "top", "front"] as const) {
      expect(flat(look, unflat(look, [0.4, -0.7]))).toEqual([0.4, -0.7]);
    }
  });

  it("outline a box seen square by its four corners", () => {
    const b = bay().boxes[0] as Box;
    const seen = hull(b.corners_m.map((c) => flat("top", c)));
    expect(seen).toHaveLength(4);
    expect(Math.min(...seen.map((p) => p[0]))).toBeCloseTo(0.98);
  });
});

describe("a drag of the whole bay", () => {
  it("writes the coordinates that changed, in millimetres", () => {
    const d: Drag = { ...still, grip: { kind: "bay" }, move: [-0.035, 0, 0.05] };
    expect(opsOf(bay(), d)).toEqual([
      { op: "set", path: "bays[1].at[0]", text: "945 mm" },
      { op: "set", path: "bays[1].at[2]", text: "320 mm" },
    ]);
  });

  it("writes nothing when nothing moved", () => {
    expect(opsOf(bay(), { ...still, grip: { kind: "bay" } })).toEqual([]);
  });

  it("takes corners and keep-outs with it", () => {
    const after = dragged(bay(), { ...still, grip: { kind: "bay" }, move: [0.1, 0, 0] });
    expect(after.boxes[0]?.corners_m[0]?.[0]).toBeCloseTo(1.08);
    expect(after.keep_outs[0]?.corners_m[0]?.[0]).toBeCloseTo(1.58);
  });
});

describe("a pull on one end", () => {
  it("at the far end changes only the size", () => {
    const d: Drag = { ...still, grip: { kind: "end", box: 0, axis: 1, far: true }, out: 0.025 };
    expect(opsOf(bay(), d)).toEqual([{ op: "set", path: "bays[1].size[1]", text: "455 mm" }]);
  });

  it("at the near end moves the corner and leaves keep-outs where they are in the vehicle", () => {
    const d: Drag = { ...still, grip: { kind: "end", box: 0, axis: 0, far: false }, out: 0.05 };
    expect(opsOf(bay(), d)).toEqual([
      { op: "set", path: "bays[1].size[0]", text: "1170 mm" },
      { op: "set", path: "bays[1].at[0]", text: "930 mm" },
      { op: "set", path: "bays[1].keep_out[0].at[0]", text: "550 mm" },
    ]);
  });

  it("moves the corner along the bay's own axis when the bay is turned", () => {
    const d: Drag = { ...still, grip: { kind: "end", box: 0, axis: 0, far: false }, out: 0.1 };
    const ops = opsOf(bay(Math.PI / 6), d);
    expect(ops).toContainEqual({ op: "set", path: "bays[1].at[0]", text: "893.4 mm" });
    expect(ops).toContainEqual({ op: "set", path: "bays[1].at[1]", text: "220 mm" });
  });

  it("of a box in a list changes that box alone", () => {
    const b = bay();
    const listed: Bay = { ...b, boxes: b.boxes.map((x) => ({ ...x, path: "bays[1].boxes[0]" })) };
    const d: Drag = { ...still, grip: { kind: "end", box: 0, axis: 0, far: false }, out: 0.05 };
    expect(opsOf(listed, d)).toEqual([
      { op: "set", path: "bays[1].boxes[0].size[0]", text: "1170 mm" },
      { op: "set", path: "bays[1].boxes[0].at[0]", text: "-50 mm" },
    ]);
  });

  it("is measured along the axis and never takes the box away", () => {
    const grip = { kind: "end", box: 0, axis: 0, far: true } as const;
    expect(pulled("side", bay(), grip, [0.052, 0.3])).toBeCloseTo(0.05);
    expect(pulled("side", bay(), grip, [-5, 0])).toBeCloseTo(0.005 - 1.12);
  });

  it("has no handle where the axis is seen end on", () => {
    expect(endDirection("side", bay(), 1, true)).toBeNull();
    expect(endDirection("top", bay(), 1, false)).toEqual([0, -1]);
    expect(endMiddle(bay().boxes[0] as Box, 0, true)[0]).toBeCloseTo(2.1);
  });
});

it("moves a keep-out in the frame of its bay", () => {
  const d: Drag = { ...still, grip: { kind: "keep-out", index: 0 }, move: [0, 0.1, 0] };
  expect(opsOf(bay(Math.PI / 2), d)).toEqual([
    { op: "set", path: "bays[1].keep_out[0].at[0]", text: "600 mm" },
  ]);
});

it("prints millimetres to a tenth, without a minus before zero", () => {
  expect(mm(0.4191)).toBe("419.1 mm");
  expect(mm(-0.00001)).toBe("0 mm");
  expect(mm(-0.38)).toBe("-380 mm");
  expect(snap(0.0124)).toBeCloseTo(0.01);
});
