import { describe, expect, it } from "vitest";
import type { Field, FileReply } from "../api/types";
import { answersOf, opsOf } from "./newProject";

const texts: Record<string, string> = {
  title: "x",
  currency: "EUR",
  invented: "yes",
  "donor.wheelbase": "2500 mm",
  "donor.track.front": "1400 mm",
  "donor.ratings.gross": "1550 kg",
  "donor.removed[0].name": "engine",
  "donor.removed[0].mass": "125 kg",
  "donor.removed[0].at[0]": "0 mm",
  "donor.removed[0].at[1]": "0 mm",
  "donor.removed[0].at[2]": "5 mm",
  "bays[0].name": "front",
  "bays[0].at[0]": "-450 mm",
  "bays[1].name": "rear",
  "bays[1].at[0]": "2100 mm",
  "sources[0].kind": "cells",
  "sources[0].part": "prismatic-lfp-105",
  "sources[0].price": "60 EUR",
};
const template: FileReply = {
  revision: 0,
  text: "",
  fields: Object.entries(texts).map(
    ([path, text]): Field => ({
      path,
      text,
      given: true,
      noun: /price/.test(path) ? "price" : "length",
      required: false,
      doc: "",
    }),
  ),
  lists: [
    { path: "bays", count: 2, item: [] },
    { path: "sources", count: 2, item: [] },
    { path: "donor.removed", count: 1, item: [] },
    { path: "donor.added", count: 0, item: [] },
  ],
};
/** Ops on paths that the small template above has. */
const known = (ops: ReturnType<typeof opsOf>) => ops.filter((o) => o.op !== "set" || o.path in texts);

describe("a new project from a form", () => {
  it("starts with the last bay of the template and keeps one bay and one lot", () => {
    const a = answersOf(template);
    expect(a.texts["bays[0].name"]).toBe("rear");
    const ops = known(opsOf(template, a));
    expect(ops).toContainEqual({ op: "delete", path: "bays[1]" });
    expect(ops).toContainEqual({ op: "delete", path: "sources[1]" });
    expect(ops).toContainEqual({ op: "set", path: "bays[0].at[0]", text: "2100 mm" });
    expect(ops).not.toContainEqual(expect.objectContaining({ path: "donor.wheelbase" }));
  });

  it("sends texts as typed, and takes out what was emptied", () => {
    const a = answersOf(template);
    a.texts["donor.wheelbase"] = "8 ft 2 in";
    a.texts["donor.ratings.gross"] = "";
    const ops = known(opsOf(template, a));
    expect(ops).toContainEqual({ op: "set", path: "donor.wheelbase", text: "8 ft 2 in" });
    expect(ops).toContainEqual({ op: "delete", path: "donor.ratings.gross" });
  });

  it("carries prices over to the currency, and says when the figures are real", () => {
    const a = { ...answersOf(template), currency: "USD", real: true };
    const ops = known(opsOf(template, a));
    expect(ops).toContainEqual({ op: "set", path: "sources[0].price", text: "60 USD" });
    expect(ops).toContainEqual({ op: "set", path: "currency", text: "USD" });
    expect(ops).toContainEqual({ op: "delete", path: "invented" });
    a.texts["sources[0].price"] = "55";
    expect(known(opsOf(template, a))).toContainEqual({ op: "set", path: "sources[0].price", text: "55 USD" });
  });

  it("writes the ledger anew only when it was changed", () => {
    const a = answersOf(template);
    const touched = (ops: ReturnType<typeof opsOf>) => ops.filter((o) => o.path.startsWith("donor.removed"));
    expect(touched(opsOf(template, a))).toEqual([]);
    a.ledger = [{ list: "removed", name: "motor", mass: "99 lb", at: ["1 m", "0 m", "0 m"] }];
    expect(touched(opsOf(template, a))).toEqual([
      { op: "delete", path: "donor.removed" },
      {
        op: "insert",
        path: "donor.removed",
        value: [{ name: "motor", mass: "99 lb", at: ["1 m", "0 m", "0 m"] }],
      },
    ]);
    expect(touched(opsOf(template, { ...a, ledger: [] }))).toEqual([{ op: "delete", path: "donor.removed" }]);
  });
});
