import { describe, expect, it } from "vitest";
import { readInstalledFailureData } from "../../../../test/support/failure-data.js";
import { createRandom } from "../../base/random.js";
import { fieldFactors, fieldGroup } from "./field-factor.js";
import { handbookRate } from "./handbook-rate.js";
import { priorParameter } from "./trade-factors.js";

const data = readInstalledFailureData();
const field = data["field-factors"];
const weights = {
  fieldPseudoCount: priorParameter(data["trade-factors"], "fieldPseudoCount"),
  familyPseudoCount: priorParameter(data["trade-factors"], "familyPseudoCount"),
};
const groups = field.groups.map((row) => row.group);

/** Rates of a plain board by the handbook alone: one NMOS processor, eight 64K memories, and other things. */
function plainBoard(): Map<string, number> {
  const rate = (part: Parameters<typeof handbookRate>[2]) =>
    handbookRate(data["handbook-217f"], data["family-models"], part).ratePerMillionHours;
  const memory = rate({ family: "dram", technology: "nmos", pinCount: 16, complexity: { bits: 65536 } });
  return new Map([
    [
      "processor",
      rate({ family: "microprocessor", technology: "nmos", pinCount: 40, complexity: { wordBits: 8 } }),
    ],
    ["dram", 8 * memory],
    [
      "glue",
      20 * rate({ family: "logic-bipolar", technology: "ls-ttl", pinCount: 16, complexity: { gates: 30 } }),
    ],
    ["rom", 2 * rate({ family: "eprom", technology: "nmos", pinCount: 28, complexity: { bits: 65536 } })],
    ["supply", rate({ family: "regulator", technology: "linear", pinCount: 3 })],
  ]);
}

describe("the histories' factor", () => {
  it("puts eight memories above one processor, which the handbook has the other way round", () => {
    const rates = plainBoard();
    const [processor = 0, memory = 0] = [rates.get("processor"), rates.get("dram")];
    expect(processor).toBeGreaterThan(memory);
    const { factors } = fieldFactors(field, rates, weights);
    const factorOf = (group: string) => factors.find((row) => row.group === group)?.factor ?? Number.NaN;
    expect(memory * factorOf("dram")).toBeGreaterThan(1.5 * processor * factorOf("processor"));
    expect(factorOf("dram")).toBeGreaterThan(1);
    expect(factorOf("processor")).toBeLessThan(1);
  });

  it("is the stated formula", () => {
    const rates = new Map([
      ["dram", 1],
      ["processor", 3],
    ]);
    const { factors } = fieldFactors(field, rates, { fieldPseudoCount: 10, familyPseudoCount: 5 });
    // 12 memories and 3 processors in the histories.
    expect(factors.map((row) => [row.group, row.count])).toEqual([
      ["dram", 12],
      ["processor", 3],
    ]);
    expect(factors[0]?.share).toBeCloseTo((10 * 0.25 + 12) / 25, 12);
    expect(factors[0]?.factor).toBeCloseTo(14.5 / 25 / 0.25, 12);
    expect(factors[1]?.share).toBeCloseTo((10 * 0.75 + 3) / 25, 12);
  });

  it("counts the histories of the same kind of machine apart, and none of them twice", () => {
    const rates = new Map([
      ["dram", 1],
      ["processor", 3],
    ]);
    const kind = "Z80 + ULA-type, 4116 + DC-DC";
    const { factors, machineFamily } = fieldFactors(
      field,
      rates,
      { fieldPseudoCount: 10, familyPseudoCount: 5 },
      kind,
    );
    expect(machineFamily).toBe(kind);
    expect(factors.map((row) => [row.count, row.machineFamilyCount])).toEqual([
      [11, 1],
      [1, 2],
    ]);
    const pooled = (10 * 0.25 + 11) / 22;
    expect(factors[0]?.share).toBeCloseTo((5 * pooled + 1) / 8, 12);
  });

  it("leaves the model alone when it weighs infinitely much, and for an unknown kind of machine", () => {
    const infinite = { fieldPseudoCount: Number.POSITIVE_INFINITY, familyPseudoCount: 1 };
    for (const { factor } of fieldFactors(field, plainBoard(), infinite).factors)
      expect(factor).toBeCloseTo(1, 12);
    const unknown = fieldFactors(field, plainBoard(), weights, "steam engine");
    expect(unknown).toEqual(fieldFactors(field, plainBoard(), weights));
    expect(fieldFactors(field, plainBoard(), weights, "other").machineFamily).toBeUndefined();
  });

  it("keeps shares that sum to 1, whatever is on the board", () => {
    for (let seed = 1; seed <= 50; seed += 1) {
      const random = createRandom(seed);
      const rates = new Map(
        groups.filter(() => random.next() < 0.6).map((group) => [group, random.next() + 0.01]),
      );
      if (rates.size === 0) continue;
      const kinds = field.counted.machineFamilies;
      const kind = kinds[random.below(kinds.length)]?.machineFamily;
      const { factors } = fieldFactors(
        field,
        rates,
        { fieldPseudoCount: 1 + 99 * random.next(), familyPseudoCount: 9 },
        kind,
      );
      expect(
        factors.reduce((sum, row) => sum + row.share, 0),
        `seed ${seed}`,
      ).toBeCloseTo(1, 10);
      const total = [...rates.values()].reduce((sum, rate) => sum + rate, 0);
      const after = factors.reduce((sum, row) => sum + (rates.get(row.group) ?? 0) * row.factor, 0);
      expect(after, `seed ${seed}`).toBeCloseTo(total, 10);
      for (const row of factors) expect(row.shareDeviation, `seed ${seed}`).toBeGreaterThan(0);
    }
  });

  it("rejects a weight or rate out of range", () => {
    expect(() => fieldFactors(field, plainBoard(), { ...weights, fieldPseudoCount: 0 })).toThrow(
      /fieldPseudoCount/,
    );
    expect(() => fieldFactors(field, new Map([["dram", -1]]), weights)).toThrow(/rate of dram/);
  });

  it("puts a part into the group of its family and section", () => {
    expect(fieldGroup(field, "logic-bipolar", "video")).toBe("video-logic");
    expect(fieldGroup(field, "logic-bipolar", "memory")).toBe("memory-multiplexer");
    expect(fieldGroup(field, "logic-bipolar", "keyboard")).toBe("glue");
    expect(fieldGroup(field, "capacitor-tantalum", "supply")).toBe("supply");
    expect(fieldGroup(field, "capacitor-tantalum", "memory")).toBe("capacitor");
    expect(fieldGroup(field, "socket", "supply")).toBe("socket");
    expect(fieldGroup(field, "resistor", "io")).toBe("rest");
  });
});
