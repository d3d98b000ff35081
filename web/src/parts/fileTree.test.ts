import { describe, expect, it } from "vitest";
import type { Field, FileReply, ListForm } from "../api/types";
import { choices, entryValue, given, opsForRow, treeOf } from "./fileTree";

const field = (path: string, text: string, more: Partial<Field> = {}): Field => ({
  path,
  text,
  given: text !== "",
  noun: "length",
  required: false,
  doc: "",
  ...more,
});
const form = (path: string, count: number, keys: string[]): ListForm => ({
  path,
  count,
  item: keys.map((key) => ({ key, noun: "length", required: false, doc: "" })),
});
const file: FileReply = {
  revision: 1,
  text: "",
  fields: [
    field("title", "van", { noun: "text" }),
    field("donor.wheelbase", "2.5 m"),
    field("donor.track.front", "1.4 m"),
    field("bays[0].name", "rear", { noun: "text" }),
    field("bays[0].at[0]", "1 m"),
    field("bays[0].at[1]", "0 m"),
    field("bays[0].at[2]", "0 m"),
    field("bays[0].size[0]", ""),
    field("bays[0].size[1]", ""),
    field("bays[0].size[2]", ""),
    field("bays[0].keep_out[0].at[0]", "1 cm"),
  ],
  lists: [
    form("bays", 1, ["name", "at[0]", "at[1]", "at[2]", "size[0]", "size[1]", "size[2]"]),
    form("bays[0].keep_out", 1, ["at[0]", "at[1]", "at[2]"]),
    form("bays[0].boxes", 0, ["at[0]"]),
    form("donor.removed", 0, ["name", "mass"]),
  ],
};

describe("the values of a file as a form", () => {
  it("groups values by the mapping that holds them", () => {
    const tree = treeOf(file, ["donor"]);
    expect(tree.sections.map((s) => [s.path, s.leaves.map((l) => l.key)])).toEqual([
      ["donor", ["wheelbase"]],
      ["donor.track", ["front"]],
    ]);
    expect(tree.lists.map((l) => l.path)).toEqual(["donor.removed"]);
  });

  it("leaves out what is shown elsewhere, and does not mix up equal beginnings", () => {
    expect(treeOf(file, ["donor"], ["donor.removed"]).lists).toEqual([]);
    expect(treeOf(file, ["don"]).sections).toEqual([]);
  });

  it("keeps the three values of a row together, and lists inside their entry", () => {
    const bays = treeOf(file, ["bays"]).lists[0];
    const entry = bays?.entries[0];
    expect(bays?.keys.map((k) => [k.key, k.parts.length])).toEqual([
      ["name", 1],
      ["at", 3],
      ["size", 3],
    ]);
    expect([...(entry?.leaves.keys() ?? [])]).toEqual(["name", "at", "size"]);
    expect(entry?.lists.map((l) => l.path)).toEqual(["bays[0].keep_out", "bays[0].boxes"]);
    expect(entry?.lists[0]?.entries[0]?.leaves.get("at")?.fields).toHaveLength(1);
  });

  it("shows every value of the file once", () => {
    const seen: string[] = [];
    const walk = (l: ReturnType<typeof treeOf>["lists"][number]) => {
      for (const e of l.entries) {
        for (const leaf of e.leaves.values()) seen.push(...leaf.fields.map((f) => f.path));
        for (const inner of e.lists) walk(inner);
      }
    };
    const tree = treeOf(file, ["title", "donor", "bays"]);
    for (const s of tree.sections) seen.push(...s.leaves.flatMap((l) => l.fields.map((f) => f.path)));
    for (const l of tree.lists) walk(l);
    expect(seen.sort()).toEqual(file.fields.map((f) => f.path).sort());
  });

  it("sets one value of a row that is there, and makes a row that is not", () => {
    const entry = treeOf(file, ["bays"]).lists[0]?.entries[0];
    const at = entry?.leaves.get("at");
    const size = entry?.leaves.get("size");
    if (!at || !size) throw new Error("no rows");
    expect(given(size)).toBe(false);
    expect(opsForRow(at, 1, "5 in")).toEqual([{ op: "set", path: "bays[0].at[1]", text: "5 in" }]);
    expect(opsForRow(size, 0, "1 ft")).toEqual([
      { op: "insert", path: "bays[0].size", value: ["1 ft", "0 m", "0 m"] },
    ]);
  });

  it("makes a new entry of what was typed, and leaves the rest out", () => {
    const value = entryValue({
      name: "seat",
      mass: "20 lb",
      "at[0]": "1 m",
      "at[2]": "2 m",
      "cabin.heat": "",
      "a.b": "x",
    });
    expect(value).toEqual({ name: "seat", mass: "20 lb", at: ["1 m", "", "2 m"], a: { b: "x" } });
  });

  it("offers yes and no where a value is one of them", () => {
    expect(choices({ noun: "yes or no" })).toEqual(["yes", "no"]);
    expect(choices({ noun: "text", one_of: ["front", "rear"] })).toEqual(["front", "rear"]);
    expect(choices({ noun: "mass" })).toBeUndefined();
  });
});
