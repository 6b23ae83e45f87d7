import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { createIsolationCost, createRepairCost } from "./remaining-cost.js";
import { expectedOrderCost, findRepairOrder } from "./repair-order.js";

const everyClass = (count: number): Int32Array => Int32Array.from({ length: count }, (_, k) => k);

describe("createRepairCost", () => {
  it("is the cost of the p/C order where no class is shared, in proportion to the mass", () => {
    for (let seed = 1; seed <= 30; seed += 1) {
      const random = createRandom(seed);
      const count = 1 + random.below(40);
      const raw = Float64Array.from({ length: count }, () => random.next() + 1e-3);
      const sum = raw.reduce((a, b) => a + b, 0);
      const weights = raw.map((w) => w / sum);
      const terms = Array.from({ length: count }, () => ({ cost: 1 + random.below(30), success: 1 }));
      const cost = createRepairCost(
        terms,
        terms.map((_, k) => ({ repairs: [k], needed: 1 })),
        undefined,
      );
      const actions = terms.map((term, k) => ({ costMinutes: term.cost, fixes: [k] }));
      const expected = findRepairOrder(weights, actions).expectedCostMinutes;
      expect(cost.of(everyClass(count), weights, count), `seed ${seed}`).toBeCloseTo(expected, 4);
      expect(
        cost.of(
          everyClass(count),
          weights.map((w) => 3 * w),
          count,
        ),
      ).toBeCloseTo(3 * expected, 4);
    }
  });

  it("gives up at the best point of the order", () => {
    // Worth trying the first (0.5 for 5 minutes), not the second (0.01 for 50), before giving up for 100.
    const cost = createRepairCost(
      [
        { cost: 5, success: 1 },
        { cost: 50, success: 1 },
      ],
      [
        { repairs: [0], needed: 1 },
        { repairs: [1], needed: 1 },
        { repairs: [], needed: 1 },
      ],
      100,
    );
    expect(cost.of(everyClass(3), Float64Array.of(0.5, 0.01, 0.49), 3)).toBeCloseTo(5 + 0.5 * 100, 9);
  });

  it("charges failures and what no repair ends with trying everything once more", () => {
    const cost = createRepairCost(
      [
        { cost: 10, success: 0.9 },
        { cost: 20, success: 1 },
      ],
      [
        { repairs: [0], needed: 1 },
        { repairs: [1], needed: 1 },
      ],
      undefined,
    );
    expect(cost.of(everyClass(2), Float64Array.of(0.5, 0.5), 2)).toBeCloseTo(10 + 0.55 * 20 + 0.05 * 30, 9);
  });

  it("stays close above the best order where repairs overlap or two are needed", () => {
    let worst = 1;
    for (let seed = 1; seed <= 40; seed += 1) {
      const random = createRandom(seed);
      const terms = Array.from({ length: 6 }, () => ({ cost: 1 + random.below(20), success: 1 }));
      const classes = [0, 1, 2, 3, 4, 5].map((k) => ({
        repairs: k % 2 === 0 ? [k] : [k, (k + 1 + random.below(4)) % 6].sort(),
        needed: 1,
      }));
      const raw = Float64Array.from(classes, () => random.next() + 0.02);
      const sum = raw.reduce((a, b) => a + b, 0);
      const weights = raw.map((w) => w / sum);
      const actions = terms.map((term, r) => ({
        costMinutes: term.cost,
        fixes: [...classes.keys()].filter((k) => classes[k]?.repairs.includes(r)),
      }));
      const best = findRepairOrder(weights, actions).expectedCostMinutes;
      const found = createRepairCost(terms, classes, undefined).of(everyClass(6), weights, 6);
      expect(found, `seed ${seed}`).toBeGreaterThanOrEqual(best - 1e-6);
      worst = Math.max(worst, found / best);
    }
    expect(worst).toBeLessThan(1.15);
  });

  it("forgets one call before the next", () => {
    const cost = createRepairCost(
      [
        { cost: 3, success: 0.5 },
        { cost: 7, success: 0.9 },
      ],
      [
        { repairs: [0, 1], needed: 2 },
        { repairs: [0, 1], needed: 1 },
        { repairs: [1], needed: 1 },
      ],
      50,
    );
    const masses = Float64Array.of(0.2, 0.5, 0.3);
    const first = cost.of(everyClass(3), masses, 3);
    cost.of(everyClass(2), Float64Array.of(0.9, 0.1), 2);
    expect(cost.of(everyClass(3), masses, 3)).toBe(first);
  });

  it("does the repairs of a pair one after the other", () => {
    const cost = createRepairCost(
      [
        { cost: 4, success: 1 },
        { cost: 9, success: 1 },
      ],
      [{ repairs: [0, 1], needed: 2 }],
      undefined,
    );
    expect(cost.of(everyClass(1), Float64Array.of(1), 1)).toBeCloseTo(
      expectedOrderCost([1], [{ costMinutes: 13, fixes: [0] }], [0]),
      9,
    );
  });
});

describe("createIsolationCost", () => {
  it("is entropy times the price of a bit, in proportion to the mass, and cannot stop", () => {
    const cost = createIsolationCost(4);
    expect(cost.of(everyClass(3), Float64Array.of(0.5, 0.25, 0.25), 3)).toBeCloseTo(6, 12);
    expect(cost.of(everyClass(3), Float64Array.of(1, 0.5, 0.5), 3)).toBeCloseTo(12, 12);
    expect(cost.of(everyClass(1), Float64Array.of(0.7), 1)).toBeCloseTo(0, 12);
    expect(cost.stopping(everyClass(1), Float64Array.of(1), 1)).toBe(Number.POSITIVE_INFINITY);
  });
});
