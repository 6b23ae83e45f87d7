import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { equalHuffmanLength, huffmanLength } from "./information.js";
import { chooseProbe } from "./probe-choice.js";
import { packProbes, probeOutcome } from "./probe-table.js";
import { planTests } from "./test-plan.js";

/** Outcomes written as one line of 0 and 1 a probe, one digit a suspect. */
function table(...rows: string[]) {
  const outcomes = rows.map((row) => [...row].map(Number));
  return packProbes(outcomes, rows[0]?.length ?? 0);
}

function equalWeights(count: number): Float64Array {
  return new Float64Array(count).fill(1 / count);
}

describe("chooseProbe", () => {
  it("plans as cheaply as the exact planner, equal weights or not", () => {
    for (let seed = 1; seed <= 60; seed += 1) {
      const random = createRandom(seed);
      const suspects = 2 + random.below(7);
      const outcomes = Array.from({ length: 1 + random.below(8) }, () =>
        Array.from({ length: suspects }, () => random.below(2)),
      );
      const weights = Array.from({ length: suspects }, () => (seed % 2 === 0 ? 1 : 0.05 + random.next()));
      const exact = planTests(
        weights,
        outcomes.map((row) => ({ cost: 1, outcomes: row })),
      );
      const chosen = chooseProbe(weights, packProbes(outcomes, suspects));
      if (exact.kind !== "optimal") throw new Error("too large");
      expect(chosen?.expectedProbes ?? 0, `seed ${seed}`).toBeCloseTo(exact.expectedCost, 9);
      if (chosen === undefined) continue;
      expect(chosen.lowerBound, `seed ${seed}`).toBeLessThanOrEqual(exact.expectedCost + 1e-9);
      expect(chosen.worstProbes, `seed ${seed}`).toBeGreaterThanOrEqual(
        Math.ceil(chosen.expectedProbes - 1e-9),
      );
    }
  });

  it("finds a plan better than the most even split begins", () => {
    const weights = [0.7, 0.01, 0.02, 0.1, 0.05, 0.12];
    const rows = ["000111", "010011", "001001", "001101", "010100"].map((row) => [...row].map(Number));
    const exact = planTests(
      weights,
      rows.map((outcomes) => ({ cost: 1, outcomes })),
    );
    if (exact.kind !== "optimal") throw new Error("too large");
    const probes = packProbes(rows, weights.length);
    expect(chooseProbe(weights, probes)?.expectedProbes).toBeCloseTo(exact.expectedCost, 12);
    const even = chooseProbe(weights, probes, { exactSize: 0, beam: 1, openLimit: 0 });
    expect(even?.expectedProbes).toBeGreaterThan(exact.expectedCost + 0.1);
  });

  it("reaches Huffman's bound and says so where every split is on offer", () => {
    const suspects = 5;
    const rows = Array.from({ length: 2 ** suspects }, (_, mask) => mask.toString(2).padStart(suspects, "0"));
    const equal = chooseProbe(equalWeights(suspects), table(...rows));
    expect(equal).toMatchObject({ optimal: true, worstProbes: 3 });
    expect(equal?.expectedProbes).toBeCloseTo(equalHuffmanLength(5), 12);
    const weights = [0.5, 0.2, 0.15, 0.1, 0.05];
    const unequal = chooseProbe(weights, table(...rows));
    expect(unequal?.expectedProbes).toBeCloseTo(huffmanLength(weights), 12);
    expect(unequal?.optimal).toBe(true);
  });

  it("leaves suspects with weight 0 out and does not mind the scale of the weights", () => {
    const probes = table("110000", "101000", "000110");
    expect(chooseProbe([0, 0, 0, 3, 3, 3], probes)).toMatchObject({
      probe: 2,
      expectedProbes: 1,
      worstProbes: 1,
    });
    const scaled = chooseProbe([10, 20, 30, 0, 0, 0], probes);
    expect(scaled).toEqual(chooseProbe([1, 2, 3, 0, 0, 0], probes));
  });

  it("counts suspects that no probe tells apart as one", () => {
    const choice = chooseProbe(equalWeights(6), table("111000"));
    expect(choice).toEqual({ probe: 0, expectedProbes: 1, worstProbes: 1, lowerBound: 1, optimal: true });
  });

  it("finds nothing to probe where one suspect is left or all look alike", () => {
    expect(chooseProbe([0, 1, 0], table("010", "001"))).toBeUndefined();
    expect(chooseProbe(equalWeights(3), table("111", "000"))).toBeUndefined();
    expect(chooseProbe([0, 0, 0], table("010", "001"))).toBeUndefined();
  });

  it("ends with the true suspect among a hundred, whichever it is, within the promised worst case", () => {
    const random = createRandom(100);
    const suspects = 100;
    const rows = Array.from({ length: 60 }, () => Array.from({ length: suspects }, () => random.below(2)));
    const probes = packProbes(rows, suspects);
    const first = chooseProbe(equalWeights(suspects), probes);
    let total = 0;
    for (let truth = 0; truth < suspects; truth += 7) {
      const weights = equalWeights(suspects);
      let used = 0;
      for (let choice = first; choice !== undefined; choice = chooseProbe(weights, probes)) {
        const seen = probeOutcome(probes, choice.probe, truth);
        expect(seen).toBe(rows[choice.probe]?.[truth]);
        for (let s = 0; s < suspects; s += 1) if (rows[choice.probe]?.[s] !== seen) weights[s] = 0;
        used += 1;
      }
      expect(weights.findIndex((weight) => weight > 0)).toBe(truth);
      expect(weights.filter((weight) => weight > 0)).toHaveLength(1);
      total += used;
    }
    // Fifteen suspects were played; random columns allow nearly perfect halving.
    expect(total / 15).toBeLessThan(Math.log2(suspects) * 1.06);
  });

  it("keeps within its limits and then says that the plan may not be the best", () => {
    // A star: each probe shows one suspect only, so any plan takes about half the suspects on average.
    const rows = Array.from({ length: 40 }, (_, k) => `${"0".repeat(k)}1${"0".repeat(39 - k)}`);
    const choice = chooseProbe(equalWeights(40), table(...rows), { exactSize: 4, beam: 2, openLimit: 10 });
    expect(choice?.optimal).toBe(false);
    expect(choice?.expectedProbes).toBeCloseTo((39 * 40) / 2 / 40 + 39 / 40, 9);
  });

  it("rejects weights that do not fit", () => {
    const probes = table("01");
    expect(() => chooseProbe([1], probes)).toThrow(RangeError);
    expect(() => chooseProbe([1, -1], probes)).toThrow(RangeError);
    expect(() => chooseProbe([1, Number.NaN], probes)).toThrow(RangeError);
  });
});
