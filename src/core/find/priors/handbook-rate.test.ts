import { describe, expect, it } from "vitest";
import { readInstalledFailureData } from "../../../../test/support/failure-data.js";
import { partFamilies } from "./fault-family.js";
import { handbookRate, type RatedPart } from "./handbook-rate.js";

const data = readInstalledFailureData();
const rate = (part: RatedPart) => handbookRate(data["handbook-217f"], data["family-models"], part);
const processor: RatedPart = {
  family: "microprocessor",
  technology: "nmos",
  pinCount: 40,
  complexity: { wordBits: 8 },
};

describe("the handbook's rate of a part", () => {
  it.each(partFamilies)("is known for %s", (family) => {
    const { ratePerMillionHours, formula } = rate({ family, technology: "linear" });
    expect(ratePerMillionHours).toBeGreaterThan(0);
    expect(ratePerMillionHours).toBeLessThan(5);
    expect(formula).not.toBe("");
  });

  it("takes what the type says and lists what it had to assume", () => {
    const stated = rate({ ...processor, powerWatt: 0.3 });
    expect(stated.assumptions).toEqual([]);
    expect(stated.inputs).toMatchObject({ size: 8, pins: 40, junctionCelsius: 50 });
    expect(stated.ratePerMillionHours).toBeCloseTo(0.498773, 5);
    const assumed = rate({ family: "microprocessor", technology: "nmos" });
    expect(assumed.assumptions.join(" ")).toMatch(
      /bits of a word: 8.*pins: 40.*junction temperature in °C: 50/,
    );
    expect(assumed.ratePerMillionHours).toBeCloseTo(stated.ratePerMillionHours, 12);
  });

  it("rises with heat, up to what silicon survives", () => {
    const hot = rate({ ...processor, powerWatt: 1 });
    expect(hot.ratePerMillionHours).toBeGreaterThan(
      rate({ ...processor, powerWatt: 0.3 }).ratePerMillionHours,
    );
    expect(rate({ ...processor, powerWatt: 50 }).inputs["junctionCelsius"]).toBe(125);
  });

  it("chooses process and activation energy by technology", () => {
    const gate = (technology: RatedPart["technology"]) =>
      rate({ family: "logic-bipolar", technology, pinCount: 16, complexity: { gates: 20 }, powerWatt: 0.4 });
    expect(gate("ls-ttl").inputs).toMatchObject({ process: "bipolar", temperatureClass: "ls-ttl" });
    expect(gate("ls-ttl").ratePerMillionHours).toBeGreaterThan(gate("ttl").ratePerMillionHours);
    expect(gate("cmos").inputs).toMatchObject({ process: "mos", temperatureClass: "mos" });
  });

  it("estimates gates from transistors", () => {
    const part = {
      family: "peripheral",
      technology: "nmos",
      pinCount: 40,
      complexity: { transistors: 4000 },
    } as const;
    expect(rate(part).inputs["size"]).toBe(1000);
  });

  it("uses the last band for a part beyond the handbook's table, and says so", () => {
    const large = rate({ family: "dram", technology: "nmos", pinCount: 18, complexity: { bits: 4_194_304 } });
    expect(large.inputs["size"]).toBe(1_048_576);
    expect(large.assumptions.join(" ")).toContain("table ends at 1048576");
  });

  it("works out a capacitor's stress from the rails and the printed rating", () => {
    const part = { family: "capacitor-aluminium", technology: "passive", value: "1000u 16 V" } as const;
    expect(rate({ ...part, acrossVolt: 12 }).inputs["voltageStress"]).toBe(0.75);
    expect(rate({ ...part, acrossVolt: 12, railStress: 0.2 }).inputs["voltageStress"]).toBe(0.2);
    expect(rate({ ...part, acrossVolt: 30 }).inputs["voltageStress"]).toBe(1);
    expect(rate(part).inputs["voltageStress"]).toBe(0.5);
    const at40 = rate({ ...part, acrossVolt: 9 }).ratePerMillionHours;
    expect(at40).toBeCloseTo(0.019474, 5);
  });

  it("rates an assembly as the sum of its parts", () => {
    const supply = rate({ family: "outside-supply", technology: "linear" });
    const sum = Object.values(supply.factors).reduce((a, b) => a + b, 0);
    expect(sum).toBeCloseTo(supply.ratePerMillionHours, 12);
    expect(supply.factors["4 × rectifier"]).toBeCloseTo(4 * 0.013249, 5);
  });

  it("knows no rate for what cannot fail", () => {
    expect(() => rate({ family: "none", technology: "mechanical" })).toThrow(RangeError);
  });
});
