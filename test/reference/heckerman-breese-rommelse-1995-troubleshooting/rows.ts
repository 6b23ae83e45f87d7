import { expectedOrderCost, findRepairOrder, greedyOrder } from "../../../src/core/inference/repair-order.js";
import type { ReferenceRow } from "../support/check.js";
import { data, dependentActions, independentActions, parseOrder, renderOrder } from "./example.js";

// Sums of products of two-digit decimals are exact but for the rounding of binary fractions.
const exact = 1e-9;

/** Both examples: best orders, their costs, and the costs of other orders. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  return [...independentRows(), ...dependentRows()];
}

function independentRows(): ReferenceRow[] {
  const { probabilities, bestOrder, bestExpectedCost, byProbability, byCost } = data.independent;
  const best = findRepairOrder(probabilities, independentActions);
  const costOf = (order: readonly number[]): number =>
    expectedOrderCost(
      probabilities,
      independentActions,
      order.map((number) => number - 1),
    );
  return [
    row("independent repairs: best order", bestOrder, renderOrder(best.order)),
    row("independent repairs: expected cost of the best order", bestExpectedCost, best.expectedCostMinutes),
    row(
      "independent repairs: expected cost by falling probability",
      byProbability.expectedCost,
      costOf(byProbability.order),
    ),
    row("independent repairs: expected cost by rising cost", byCost.expectedCost, costOf(byCost.order)),
  ];
}

function dependentRows(): ReferenceRow[] {
  const { probabilities, orders, ...answers } = data.dependent;
  const best = findRepairOrder(probabilities, dependentActions);
  const greedy = greedyOrder(probabilities, dependentActions);
  const costOf = (order: readonly number[]): number =>
    expectedOrderCost(probabilities, dependentActions, order);
  return [
    row("dependent repairs: best order", answers.bestOrder, renderOrder(best.order)),
    row(
      "dependent repairs: expected cost of the best order",
      answers.bestExpectedCost,
      best.expectedCostMinutes,
    ),
    row("dependent repairs: greedy order", answers.greedyOrder, renderOrder(greedy)),
    row("dependent repairs: expected cost of the greedy order", answers.greedyExpectedCost, costOf(greedy)),
    ...Object.entries(orders).map(([order, cost]) =>
      row(`dependent repairs: expected cost of the order ${order}`, cost, costOf(parseOrder(order))),
    ),
    // The next repair is paid for with the probability that the first was not enough.
    ...answers.actionProbabilities.map((probability, k) =>
      row(
        `dependent repairs: probability that repair ${k + 1} is enough`,
        probability,
        1 - (costOf([k, (k + 1) % dependentActions.length]) - costOf([k])) / data.dependent.cost,
      ),
    ),
  ];
}

function row<Value extends number | string>(quantity: string, published: Value, ours: Value): ReferenceRow {
  const tolerance = typeof published === "number" ? exact : 0;
  return { quantity, published, ours, tolerance, tag: "recomputed" };
}
