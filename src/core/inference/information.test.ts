import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  entropyBits,
  equalHuffmanLength,
  expectedInformationBits,
  huffmanLength,
  informationOfCodeMassesBits,
  rowEntropiesBits,
} from "./information.js";
import { deterministicObservable, type Observable } from "./observable.js";
import { addOutcome, normaliseLogWeights } from "./posterior.js";

describe("entropyBits", () => {
  it("is the logarithm of the number of equals, zero for certainty, and ignores the impossible", () => {
    expect(entropyBits([0.25, 0.25, 0.25, 0.25])).toBe(2);
    expect(entropyBits([0, 0.5, 0, 0.5])).toBe(1);
    expect(Object.is(entropyBits([1, 0]), 0)).toBe(true);
    expect(entropyBits([])).toBe(0);
  });
});

/** Weights in whole numbers, one code of three for each hypothesis, and likelihoods of four outcomes in whole parts. */
const situations = fc.integer({ min: 1, max: 7 }).chain((count) =>
  fc.record({
    parts: fc.array(fc.integer({ min: 1, max: 50 }), { minLength: count, maxLength: count }),
    codes: fc.array(fc.nat(2), { minLength: count, maxLength: count }),
    table: fc.array(
      fc.array(fc.nat(9), { minLength: 4, maxLength: 4 }).filter((row) => row.some((part) => part > 0)),
      { minLength: 3, maxLength: 3 },
    ),
  }),
);

function situation(input: { parts: number[]; codes: number[]; table: number[][] }): {
  weights: Float64Array;
  observable: Observable;
} {
  const total = input.parts.reduce((sum, part) => sum + part, 0);
  const likelihood = input.table.flatMap((row) => {
    const sum = row.reduce((a, b) => a + b, 0);
    return row.map((part) => part / sum);
  });
  return {
    weights: Float64Array.from(input.parts, (part) => part / total),
    observable: {
      codes: Uint8Array.from(input.codes),
      codeCount: 3,
      outcomeCount: 4,
      likelihood: Float64Array.from(likelihood),
    },
  };
}

/** Entropy now minus the mean entropy of the posteriors, each posterior worked out in full. */
function informationByPosteriors(weights: Float64Array, observable: Observable): number {
  let after = 0;
  for (let outcome = 0; outcome < observable.outcomeCount; outcome += 1) {
    const logWeights = weights.map(Math.log);
    addOutcome(logWeights, observable, outcome);
    const { possible, weights: posterior, logEvidence } = normaliseLogWeights(logWeights);
    if (possible) after += Math.exp(logEvidence) * entropyBits(posterior);
  }
  return entropyBits(weights) - after;
}

describe("expectedInformationBits", () => {
  it("is the expected fall of entropy", () => {
    fc.assert(
      fc.property(situations, (input) => {
        const { weights, observable } = situation(input);
        const information = expectedInformationBits(weights, observable);
        expect(information).toBeCloseTo(informationByPosteriors(weights, observable), 10);
        expect(information).toBeGreaterThanOrEqual(0);
        expect(information).toBeLessThanOrEqual(entropyBits(weights) + 1e-12);
      }),
      { seed: 4, numRuns: 500 },
    );
  });

  it("is the entropy of the parts for a test without error", () => {
    const halves = deterministicObservable(Uint8Array.of(0, 1, 1), 2);
    expect(expectedInformationBits(Float64Array.of(0.5, 0.25, 0.25), halves)).toBe(1);
  });

  it("is never below zero where nothing can be learnt", () => {
    const blind: Observable = {
      codes: Uint8Array.of(0, 1, 0),
      codeCount: 2,
      outcomeCount: 3,
      likelihood: Float64Array.of(0.1, 0.2, 0.7, 0.1, 0.2, 0.7),
    };
    const information = expectedInformationBits(Float64Array.of(0.3, 0.3, 0.4), blind);
    expect(information).toBeGreaterThanOrEqual(0);
    expect(information).toBeLessThan(1e-12);
  });

  it("falls when the instrument errs: the symmetric channel has 1 - H(error) bits", () => {
    const likelihood = Float64Array.of(0.9, 0.1, 0.1, 0.9);
    const observable = { codes: Uint8Array.of(0, 1), codeCount: 2, outcomeCount: 2, likelihood };
    const expected = 1 - entropyBits([0.1, 0.9]);
    expect(expectedInformationBits(Float64Array.of(0.5, 0.5), observable)).toBeCloseTo(expected, 12);
    expect([...rowEntropiesBits(observable)]).toEqual(
      [1 - expected, 1 - expected].map((v) => expect.closeTo(v, 12)),
    );
  });
});

describe("informationOfCodeMassesBits", () => {
  it("scales with the mass, and so do the probabilities of the outcomes", () => {
    fc.assert(
      fc.property(situations, fc.double({ min: 0.01, max: 1, noNaN: true }), (input, mass) => {
        const { weights, observable } = situation(input);
        const masses = new Float64Array(3);
        weights.forEach((w, h) => {
          const code = observable.codes[h] ?? 0;
          masses[code] = (masses[code] ?? 0) + w;
        });
        const rows = rowEntropiesBits(observable);
        const whole = new Float64Array(4);
        const part = new Float64Array(4).fill(9);
        const information = informationOfCodeMassesBits(masses, observable, rows, whole);
        const scaled = masses.map((m) => m * mass);
        expect(informationOfCodeMassesBits(scaled, observable, rows, part)).toBeCloseTo(
          mass * information,
          10,
        );
        expect(whole.reduce((sum, p) => sum + p, 0)).toBeCloseTo(1, 10);
        whole.forEach((p, outcome) => {
          expect(part[outcome]).toBeCloseTo(mass * p, 10);
        });
      }),
      { seed: 5, numRuns: 300 },
    );
  });
});

/** Least mean depth over all binary trees: each set of leaves is split in every possible way. */
function bestTreeCost(weights: readonly number[]): number {
  const count = weights.length;
  const costs = new Map<number, number>();
  const massOf = (set: number): number => weights.reduce((sum, w, k) => ((set >> k) & 1 ? sum + w : sum), 0);
  const costOf = (set: number): number => {
    const known = costs.get(set);
    if (known !== undefined) return known;
    let best = Number.POSITIVE_INFINITY;
    for (let part = (set - 1) & set; part > 0; part = (part - 1) & set)
      best = Math.min(best, massOf(set) + costOf(part) + costOf(set & ~part));
    const cost = best === Number.POSITIVE_INFINITY ? 0 : best;
    costs.set(set, cost);
    return cost;
  };
  return costOf(2 ** count - 1) / massOf(2 ** count - 1);
}

describe("huffmanLength", () => {
  it("is the least mean depth of all binary trees", () => {
    const weights = fc.array(fc.integer({ min: 1, max: 1000 }), { minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(weights, (list) => {
        expect(huffmanLength(list)).toBeCloseTo(bestTreeCost(list), 10);
      }),
      { seed: 6, numRuns: 150 },
    );
  });

  it("ignores zeros, order and scale", () => {
    expect(huffmanLength([0, 3, 0, 1, 2, 0])).toBeCloseTo(huffmanLength([1, 2, 3]), 12);
    expect(huffmanLength([0.01, 0.02, 0.03])).toBeCloseTo(huffmanLength([3, 2, 1]), 12);
  });

  it("is zero where there is nothing to tell apart", () => {
    expect(huffmanLength([])).toBe(0);
    expect(huffmanLength([0, 0])).toBe(0);
    expect(huffmanLength([0, 0.4])).toBe(0);
  });
});

describe("equalHuffmanLength", () => {
  it("is whole for powers of two, and zero for one", () => {
    expect([1, 2, 4, 1024, 2 ** 29].map(equalHuffmanLength)).toEqual([0, 1, 2, 10, 29]);
  });

  it.each([0, -1, 2.5, Number.NaN, Number.POSITIVE_INFINITY])("rejects %s", (count) => {
    expect(() => equalHuffmanLength(count)).toThrow(RangeError);
  });
});
