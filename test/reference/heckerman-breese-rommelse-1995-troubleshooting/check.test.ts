import { describe, expect, it } from "vitest";
import { rankActions } from "../../../src/core/inference/planner.js";
import type { PlannerInput } from "../../../src/core/inference/planner-input.js";
import {
  expectedOrderCost,
  findRepairOrder,
  greedyOrder,
  type RepairAction,
} from "../../../src/core/inference/repair-order.js";
import { expectRows } from "../support/expect-rows.js";
import { data, dependentActions, independentActions, renderOrder } from "./example.js";
import { referenceRows } from "./rows.js";

function permutations(items: readonly number[]): number[][] {
  if (items.length === 0) return [[]];
  return items.flatMap((first) =>
    permutations(items.filter((item) => item !== first)).map((rest) => [first, ...rest]),
  );
}

function plannerInput(probabilities: readonly number[], actions: readonly RepairAction[]): PlannerInput {
  return {
    weights: Float64Array.from(probabilities),
    tests: [],
    repairs: actions.map((action, k) => ({
      id: `a${k + 1}`,
      costMinutes: action.costMinutes,
      fixes: Int32Array.from(action.fixes),
    })),
  };
}

describe("orders of repairs", () => {
  expectRows(referenceRows);

  it.each([
    [
      "independent",
      data.independent.probabilities,
      independentActions,
      data.independent.bestExpectedCost,
      24,
    ],
    ["dependent", data.dependent.probabilities, dependentActions, data.dependent.bestExpectedCost, 6],
  ] as const)("the best of all orders, %s repairs", (_, probabilities, actions, best, count) => {
    const orders = permutations([...actions.keys()]);
    expect(orders).toHaveLength(count);
    const costs = orders.map((order) => expectedOrderCost(probabilities, actions, order));
    expect(Math.min(...costs)).toBeCloseTo(best, 12);
    expect(costs.filter((cost) => cost < best + 1e-9)).toHaveLength(1);
  });

  it("says how the order was found, and that greedy is not best where repairs share faults", () => {
    const independent = findRepairOrder(data.independent.probabilities, independentActions);
    expect(independent.method).toBe("exact");
    expect(renderOrder(greedyOrder(data.independent.probabilities, independentActions))).toBe(
      data.independent.bestOrder,
    );
    const dependent = findRepairOrder(data.dependent.probabilities, dependentActions);
    expect(dependent.method).toBe("exact");
    expect(dependent.expectedCostMinutes).toBeLessThan(data.dependent.greedyExpectedCost);
  });

  it("lets the planner, without any test, start with the first repair of the best order", () => {
    const independent = rankActions(plannerInput(data.independent.probabilities, independentActions));
    expect(independent.actions[0]?.id).toBe("a3");
    expect(independent.actions[0]?.expectedTotalCost).toBeCloseTo(data.independent.bestExpectedCost, 9);
    expect(independent.costWithoutTests).toBeCloseTo(data.independent.bestExpectedCost, 9);
    const dependent = rankActions(plannerInput(data.dependent.probabilities, dependentActions));
    expect(dependent.actions[0]?.id).toBe("a3");
    expect(dependent.actions[0]?.expectedTotalCost).toBeCloseTo(data.dependent.bestExpectedCost, 9);
    expect(dependent.costWithoutTests).toBeCloseTo(data.dependent.bestExpectedCost, 9);
  });
});
