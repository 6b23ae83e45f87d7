import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import {
  exactRepairLimit,
  expectedOrderCost,
  findRepairOrder,
  greedyOrder,
  type RepairAction,
} from "./repair-order.js";

const single = (costs: readonly number[]): RepairAction[] =>
  costs.map((costMinutes, h) => ({ costMinutes, fixes: [h] }));

/** Every order of 0 to count - 1. */
function orders(count: number): number[][] {
  if (count === 0) return [[]];
  return orders(count - 1).flatMap((order) =>
    Array.from({ length: count }, (_, at) => [...order.slice(0, at), count - 1, ...order.slice(at)]),
  );
}

function randomActions(
  seed: number,
  hypotheses: number,
  count: number,
): { weights: number[]; actions: RepairAction[] } {
  const random = createRandom(seed);
  const raw = Array.from({ length: hypotheses }, () => random.next() + 0.01);
  const sum = raw.reduce((a, b) => a + b, 0);
  const actions = Array.from({ length: count }, () => ({
    costMinutes: 1 + random.below(20),
    fixes: Array.from({ length: hypotheses }, (_, h) => h).filter(() => random.next() < 0.4),
    successProbability: random.next() < 0.5 ? 1 : 0.8,
  }));
  return { weights: raw.map((w) => w / sum), actions };
}

describe("expectedOrderCost", () => {
  it("charges each repair with the chance that none before it worked", () => {
    const actions: RepairAction[] = [
      { costMinutes: 10, fixes: [0], successProbability: 0.5 },
      { costMinutes: 4, fixes: [1] },
    ];
    // 10 for sure; then 1 - 0.6 × 0.5 is left.
    expect(expectedOrderCost([0.6, 0.4], actions, [0, 1])).toBeCloseTo(10 + 0.7 * 4, 12);
    expect(expectedOrderCost([0.6, 0.4], actions, [1, 0])).toBeCloseTo(4 + 0.6 * 10, 12);
    expect(() => expectedOrderCost([1], actions, [2])).toThrow(/no repair 2/);
  });
});

describe("findRepairOrder", () => {
  it("orders independent repairs by probability per minute, and no order is cheaper", () => {
    for (let seed = 1; seed <= 20; seed += 1) {
      const random = createRandom(seed);
      const raw = Array.from({ length: 5 }, () => random.next());
      const sum = raw.reduce((a, b) => a + b, 0);
      const weights = raw.map((w) => w / sum);
      const actions = single(raw.map(() => 1 + random.below(30)));
      const found = findRepairOrder(weights, actions);
      const cheapest = Math.min(...orders(5).map((order) => expectedOrderCost(weights, actions, order)));
      expect(found.method).toBe("exact");
      expect(found.expectedCostMinutes, `seed ${seed}`).toBeCloseTo(cheapest, 9);
    }
  });

  it("finds the cheapest order of overlapping repairs, which the greedy order can miss", () => {
    let missed = 0;
    for (let seed = 1; seed <= 40; seed += 1) {
      const { weights, actions } = randomActions(seed, 6, 5);
      const found = findRepairOrder(weights, actions);
      // Orders that leave something fixable undone are no rivals: they end early by giving up.
      const complete = orders(5).map((order) =>
        expectedOrderCost(weights, actions, usefulPart(weights, actions, order)),
      );
      expect(found.expectedCostMinutes, `seed ${seed}`).toBeCloseTo(Math.min(...complete), 9);
      if (
        expectedOrderCost(weights, actions, greedyOrder(weights, actions)) >
        found.expectedCostMinutes + 1e-9
      )
        missed += 1;
    }
    expect(missed).toBeGreaterThan(0);
  });

  it("says when it was greedy", () => {
    const actions = Array.from({ length: exactRepairLimit + 1 }, (_, k) => ({
      costMinutes: 1 + k,
      fixes: [k, k + 1],
    }));
    const weights = new Float64Array(exactRepairLimit + 2).fill(1 / (exactRepairLimit + 2));
    const found = findRepairOrder(weights, actions);
    expect(found.method).toBe("greedy");
    expect(found.expectedCostMinutes).toBeCloseTo(expectedOrderCost(weights, actions, found.order), 12);
  });

  it("leaves out repairs that cannot help and rejects what makes no sense", () => {
    expect(findRepairOrder([1, 0], single([5, 1])).order).toEqual([0]);
    expect(() => findRepairOrder([1], [{ costMinutes: -1, fixes: [0] }])).toThrow(/-1 minutes/);
    expect(() => findRepairOrder([1], [{ costMinutes: 1, fixes: [1] }])).toThrow(/hypothesis 1 of 1/);
  });
});

/** The order without repairs that have nothing left to win when their turn comes. */
function usefulPart(
  weights: readonly number[],
  actions: readonly RepairAction[],
  order: readonly number[],
): number[] {
  const result: number[] = [];
  const left = [...weights];
  for (const index of order) {
    const action = actions[index];
    if (action === undefined) continue;
    let won = 0;
    for (const h of Array.from(action.fixes)) {
      const gain = (left[h] ?? 0) * (action.successProbability ?? 1);
      left[h] = (left[h] ?? 0) - gain;
      won += gain;
    }
    if (won > 1e-12) result.push(index);
  }
  return result;
}
