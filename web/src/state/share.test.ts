import { describe, expect, it } from "vitest";
import { share } from "./share";

const copy = <T>(x: T): T => JSON.parse(JSON.stringify(x)) as T;
const older = {
  revision: 1,
  rows: [
    { name: "motor", at: [1, 2, 3] },
    { name: "tank", at: [0, 0, 0] },
  ],
  none: null,
};

describe("a newer answer", () => {
  it("that equals the older is the older", () => {
    expect(share(older, copy(older))).toBe(older);
  });
  it("keeps the parts that did not change, and only those", () => {
    const next = copy(older);
    next.revision = 2;
    next.rows[1] = { name: "tank", at: [0, 0, 1] };
    const want = copy(next);
    const got = share(older, next);
    expect(got).toEqual(want);
    expect(got.rows[0]).toBe(older.rows[0]);
    expect(got.rows[1]).not.toBe(older.rows[1]);
    expect(got.rows).not.toBe(older.rows);
  });
  it("is itself where keys or entries came or went", () => {
    const less: Record<string, unknown> = copy(older);
    delete less.none;
    expect(share(older, less)).toEqual({ revision: 1, rows: older.rows });
    expect(share(older, less)).not.toBe(older);
    expect(share([1, 2, 3], [1, 2])).toEqual([1, 2]);
    expect(share([1, 2], [1, 2, undefined])).toHaveLength(3);
    expect(share({ a: [1] }, { a: { 0: 1 } })).toEqual({ a: { 0: 1 } });
    expect(share(null, { a: 1 })).toEqual({ a: 1 });
    expect(share({ a: 1 }, null)).toBeNull();
  });
});
