import { describe, expect, it } from "vitest";
import { broken } from "./HeatCoolant";

describe("names of stations", () => {
  it("breaks a long name at the blank nearest to its middle", () => {
    expect(broken("behind the rear axle")).toEqual(["behind the", "rear axle"]);
  });
  it("leaves a short name, and one without a blank, on one line", () => {
    expect(broken("engine bay")).toEqual(["engine bay"]);
    expect(broken("underfloorcompartment")).toEqual(["underfloorcompartment"]);
  });
});
