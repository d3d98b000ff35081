import { describe, expect, it } from "vitest";
import type { Column } from "../api/types";
import * as format from "../units/format";
import {
  extremes,
  fileName,
  flat,
  flowRows,
  profilePanels,
  reader,
  runPanels,
  type Scaler,
  traceSet,
} from "./DriveModel";

const si: Scaler = (noun, values) => format.scale(noun, values, "si");
const us: Scaler = (noun, values) => format.scale(noun, values, "us");
const column = (key: string, noun: string, symbol: string, rest: Partial<Column>): Column => ({
  name: key,
  key,
  noun,
  symbol,
  ...rest,
});
const columns: Column[] = [
  column("time_s", "time", "s", { values: [0, 3600, 7200] }),
  column("distance_m", "length", "m", { values: [0, 40_000, 80_000] }),
  column("speed_m_per_s", "speed", "m/s", { min: [0, 5, 10], max: [10, 20, 25] }),
  column("speed_wanted_m_per_s", "speed", "m/s", { min: [0, 5, 10], max: [10, 20, 30] }),
  column("voltage_v", "voltage", "V", { values: [310, 300, 290] }),
  column("state_of_charge", "ratio", "1", { values: [0.97, 0.5, 0.08] }),
];

describe("the traces of a run", () => {
  const set = traceSet(columns, "time", runPanels, si, "k");
  it("have a panel for each quantity that is there", () => {
    expect(set?.panels.map((p) => `${p.title}, ${p.unit}`)).toEqual([
      "speed, km/h",
      "voltage at the terminals, V",
      "state of charge, %",
    ]);
  });
  it("share one unit between driven and wanted", () => {
    const speed = set?.panels[0];
    expect(speed?.lines.map((l) => l.name)).toEqual(["driven", "wanted"]);
    // 30 m/s is 108 km/h, by definition of the units.
    expect(speed?.lines[1]?.max[2]).toBeCloseTo(108, 9);
    expect(speed?.lines[0]?.min[1]).toBeCloseTo(18, 9);
  });
  it("run along time or distance", () => {
    expect([set?.xUnit, set?.x]).toEqual(["h", [0, 1, 2]]);
    const far = traceSet(columns, "distance", runPanels, us, "k");
    expect(far?.xUnit).toBe("mi");
    expect(far?.x[2]).toBeCloseTo(80_000 / 1609.344, 9);
  });
  it("are none without an axis", () => {
    expect(traceSet(columns.slice(2), "time", runPanels, si, "k")).toBeNull();
  });
});

describe("the figures under the cursor", () => {
  it("are one value where it is exact and both ends where it is gathered", () => {
    const words = reader(columns, si)(1).map((f) => f.text);
    expect(words[4]).toBe("300.0\u00a0V");
    expect(words[2]).toBe("18.00 … 72.00\u00a0km/h");
  });
});

it("extremes of a long column need no spread", () => {
  const long = column("x", "voltage", "V", { values: Array.from({ length: 400_000 }, (_, i) => i % 1000) });
  expect(extremes(long)).toEqual([0, 999]);
});

it("a level road is flat", () => {
  expect(flat(column("elevation_m", "length", "m", { values: [0, 0, 0] }))).toBe(true);
  expect(flat(column("elevation_m", "length", "m", { values: [0, 3, 0] }))).toBe(false);
  expect(profilePanels).toHaveLength(3);
});

it("the rows of a flow name both ends", () => {
  const nodes = [
    { id: "wall", name: "from the wall", kind: "supply" as const },
    { id: "cells", name: "cells", kind: "stage" as const },
  ];
  const rows = flowRows(nodes, [{ from: "wall", to: "cells", energy_j: 5 as never, returned: false }]);
  expect(rows[0]).toMatchObject({ fromName: "from the wall", toName: "cells" });
});

it("a route is stored under a plain name", () => {
  expect(fileName("C:\\tracks\\Over the ridge.gpx")).toBe("Over-the-ridge.gpx");
  expect(fileName("../../etc/passwd.csv")).toBe("passwd.csv");
  expect(fileName(".hidden.csv")).toBe("hidden.csv");
});
