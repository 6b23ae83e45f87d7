import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  exactRepairLimit,
  expectedOrderCost,
  findRepairOrder,
  greedyOrder,
  type RepairAction,
} from "./repair-order.js";

/** Expected cost by walking every course of events: each fault, each repair working or not. */
function costByCourses(
  weights: readonly number[],
  actions: readonly RepairAction[],
  order: readonly number[],
): number {
  const payFrom = (position: number, fault: number): number => {
    const action = actions[order[position] ?? -1];
    if (action === undefined) return 0;
    const works = Array.from(action.fixes).includes(fault) ? (action.successProbability ?? 1) : 0;
    return action.costMinutes + (1 - works) * payFrom(position + 1, fault);
  };
  return weights.reduce((sum, w, fault) => sum + w * payFrom(0, fault), 0);
}

/** Least cost over all orders of the repairs that can help at all. */
function bestCost(weights: readonly number[], actions: readonly RepairAction[]): number {
  const helpful = actions.flatMap((action, k) =>
    (action.successProbability ?? 1) > 0 && Array.from(action.fixes).some((h) => (weights[h] ?? 0) > 0)
      ? [k]
      : [],
  );
  return Math.min(...permutations(helpful).map((order) => costOfHelpful(weights, actions, order)));
}

/** A repair is passed over once everything it ends is surely ended. */
function costOfHelpful(
  weights: readonly number[],
  actions: readonly RepairAction[],
  order: readonly number[],
): number {
  const surelyEnded = new Set<number>();
  const done = order.filter((index) => {
    const action = actions[index];
    const fixes = Array.from(action?.fixes ?? []).filter((h) => (weights[h] ?? 0) > 0);
    if (fixes.every((h) => surelyEnded.has(h))) return false;
    if ((action?.successProbability ?? 1) === 1) for (const h of fixes) surelyEnded.add(h);
    return true;
  });
  return costByCourses(weights, actions, done);
}

function permutations(items: readonly number[]): number[][] {
  if (items.length === 0) return [[]];
  return items.flatMap((first) =>
    permutations(items.filter((item) => item !== first)).map((rest) => [first, ...rest]),
  );
}

const faults = 5;
const weightLists = fc
  .array(fc.nat(20), { minLength: faults, maxLength: faults })
  .filter((parts) => parts.some((part) => part > 0))
  .map((parts) => {
    const total = parts.reduce((sum, part) => sum + part, 0);
    return parts.map((part) => part / total);
  });
const successes = fc.constantFrom(1, 1, 0.9, 0.5, 0);
const sharedActions = fc.array(
  fc.record({
    costMinutes: fc.nat(30),
    fixes: fc.uniqueArray(fc.nat(faults - 1), { maxLength: 3 }),
    successProbability: successes,
  }),
  { minLength: 1, maxLength: 5 },
);
/** One repair a fault at most, some faults without any. */
const separateActions = fc
  .uniqueArray(
    fc.record({
      costMinutes: fc.integer({ min: 1, max: 30 }),
      fault: fc.nat(faults - 1),
      successProbability: successes,
    }),
    { selector: ({ fault }) => fault, minLength: 1 },
  )
  .map((list) => list.map(({ fault, ...rest }) => ({ ...rest, fixes: [fault] })));

describe("expectedOrderCost", () => {
  it("is the mean over all courses of events", () => {
    fc.assert(
      fc.property(weightLists, sharedActions, (weights, actions) => {
        const order = [...actions.keys()];
        expect(expectedOrderCost(weights, actions, order)).toBeCloseTo(
          costByCourses(weights, actions, order),
          9,
        );
      }),
      { seed: 13, numRuns: 300 },
    );
  });

  it("goes on paying for what no repair ends", () => {
    const actions = [
      { costMinutes: 10, fixes: [0] },
      { costMinutes: 4, fixes: [1], successProbability: 0.5 },
    ];
    expect(expectedOrderCost([0.5, 0.25, 0.25], actions, [0, 1])).toBe(12);
    expect(expectedOrderCost([0.5, 0.25, 0.25], actions, [1, 0])).toBe(4 + 0.875 * 10);
  });

  it("rejects a repair that does not exist", () => {
    expect(() => expectedOrderCost([1], [{ costMinutes: 1, fixes: [0] }], [1])).toThrow(
      "there is no repair 1",
    );
  });
});

describe("findRepairOrder", () => {
  it("by probability per minute is the best of all orders where repairs share nothing", () => {
    fc.assert(
      fc.property(weightLists, separateActions, (weights, actions) => {
        const found = findRepairOrder(weights, actions);
        expect(found.method).toBe("exact");
        expect(found.expectedCostMinutes).toBeCloseTo(bestCost(weights, actions), 9);
        expect(found.order).toEqual(greedyOrder(weights, actions));
      }),
      { seed: 14, numRuns: 300 },
    );
  });

  it("is the best of all orders where repairs share faults and may fail", () => {
    let better = 0;
    fc.assert(
      fc.property(weightLists, sharedActions, (weights, actions) => {
        const found = findRepairOrder(weights, actions);
        expect(found.method).toBe("exact");
        expect(found.expectedCostMinutes).toBeCloseTo(bestCost(weights, actions), 9);
        expect(found.expectedCostMinutes).toBeCloseTo(costByCourses(weights, actions, found.order), 9);
        const greedy = expectedOrderCost(weights, actions, greedyOrder(weights, actions));
        expect(found.expectedCostMinutes).toBeLessThanOrEqual(greedy + 1e-9);
        if (found.expectedCostMinutes < greedy - 1e-9) better += 1;
      }),
      { seed: 15, numRuns: 400 },
    );
    expect(better).toBeGreaterThan(5);
  });

  it("leaves out repairs that cannot help any more", () => {
    const actions = [
      { costMinutes: 1, fixes: [0] },
      { costMinutes: 1, fixes: [0, 1] },
      { costMinutes: 1, fixes: [2] },
      { costMinutes: 1, fixes: [] },
      { costMinutes: 1, fixes: [0], successProbability: 0 },
    ];
    expect(findRepairOrder([0.6, 0.4, 0], actions).order).toEqual([1]);
  });

  it("says greedy when too many repairs share faults", () => {
    const shared = Array.from({ length: exactRepairLimit + 1 }, (_, k) => ({
      costMinutes: 1 + k,
      fixes: [k, k + 1],
    }));
    const weights = new Float64Array(exactRepairLimit + 2).fill(1 / (exactRepairLimit + 2));
    const greedy = findRepairOrder(weights, shared);
    expect(greedy.method).toBe("greedy");
    expect(greedy.order).toEqual(greedyOrder(weights, shared));
    expect(greedy.expectedCostMinutes).toBe(expectedOrderCost(weights, shared, greedy.order));
    expect(findRepairOrder(weights, shared.slice(1)).method).toBe("exact");
    const separate = shared.map(({ costMinutes }, k) => ({ costMinutes, fixes: [k] }));
    expect(findRepairOrder(weights, separate).method).toBe("exact");
  });

  it("starts with what costs nothing", () => {
    const actions = [
      { costMinutes: 5, fixes: [0] },
      { costMinutes: 0, fixes: [1] },
    ];
    expect(findRepairOrder([0.9, 0.1], actions)).toMatchObject({ order: [1, 0], expectedCostMinutes: 4.5 });
  });

  it.each<[string, RepairAction, string]>([
    ["a negative cost", { costMinutes: -1, fixes: [0] }, "a repair costs -1 minutes"],
    ["no cost", { costMinutes: Number.NaN, fixes: [0] }, "a repair costs NaN minutes"],
    ["an unknown fault", { costMinutes: 1, fixes: [2] }, "a repair names hypothesis 2 of 2"],
    ["a fault below zero", { costMinutes: 1, fixes: [-1] }, "a repair names hypothesis -1 of 2"],
  ])("rejects %s", (_, action, message) => {
    expect(() => findRepairOrder([0.5, 0.5], [action])).toThrow(RangeError);
    expect(() => findRepairOrder([0.5, 0.5], [action])).toThrow(message);
  });

  it("has nothing to order without repairs or without weight", () => {
    expect(findRepairOrder([1], [])).toEqual({ order: [], expectedCostMinutes: 0, method: "exact" });
    expect(findRepairOrder([0], [{ costMinutes: 1, fixes: [0] }]).order).toEqual([]);
  });
});
