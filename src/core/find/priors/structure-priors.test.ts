import { describe, expect, it } from "vitest";
import { readInstalledFailureData } from "../../../../test/support/failure-data.js";
import { pinRows, structurePlaceRate, structurePlaces } from "./structure-priors.js";

const data = readInstalledFailureData();
const numbered = (count: number) => Array.from({ length: count }, (_, i) => String(i + 1));

describe("rows of pins", () => {
  it("are two for a dual in-line package and one for a line of pins", () => {
    expect(pinRows("DIP14", numbered(14))).toEqual([numbered(7), ["8", "9", "10", "11", "12", "13", "14"]]);
    expect(pinRows("TO-220", numbered(3))).toEqual([numbered(3)]);
  });

  it("are unknown for two pins or for pins with names", () => {
    expect(pinRows("any", ["1", "2"])).toEqual([]);
    expect(pinRows("any", ["A", "B", "C"])).toEqual([]);
  });
});

describe("places of structures", () => {
  const part = {
    ref: "U1",
    socketed: true,
    rows: pinRows("DIP8", numbered(8)),
    nets: { 1: "A", 2: "A", 3: "B", 4: "GND", 5: "C", 7: "D", 8: "+5V" },
  };
  const of = (structure: string) => structurePlaces(part).filter((place) => place.structure === structure);

  it("are each connected pin, and each pair of neighbours on different nets", () => {
    expect(of("socket")).toHaveLength(7);
    expect(of("track")).toHaveLength(7);
    // Not 1-2 (one net), not 4-5 (across the package), not 5-6-7 (6 is open).
    expect(of("bridge").map((place) => place.pins)).toEqual([
      ["2", "3"],
      ["3", "4"],
      ["7", "8"],
    ]);
    expect(of("wrong-part")).toHaveLength(1);
  });

  it("have no socket contacts where the part is soldered", () => {
    const soldered = structurePlaces({ ...part, socketed: false });
    expect(new Set(soldered.map((place) => place.structure))).toEqual(new Set(["track", "bridge"]));
  });

  it("share the handbook's rate of a socket among its pins", () => {
    const one = structurePlaceRate(data, "socket", 40);
    expect(40 * one.ratePerMillionHours).toBeCloseTo(0.003504, 6);
  });

  it("are rarer at a joint than a chip's own failure, and rarer still between two pins", () => {
    const joint = structurePlaceRate(data, "track", 16).ratePerMillionHours;
    const pair = structurePlaceRate(data, "bridge", 16).ratePerMillionHours;
    expect(16 * joint).toBeLessThan(0.01);
    expect(pair).toBeLessThan(joint);
    expect(structurePlaceRate(data, "bridge", 16).assumptions.join()).toContain("Common practice, no source");
  });
});
