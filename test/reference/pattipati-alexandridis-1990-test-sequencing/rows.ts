import { entropyBits, huffmanLength } from "../../../src/core/inference/information.js";
import { rankActions } from "../../../src/core/inference/planner.js";
import { planTests } from "../../../src/core/inference/test-plan.js";
import { halfLastPlace, type ReferenceRow } from "../support/check.js";
import { data, plannerInput, tests, walkedCost } from "./example.js";

// Sums of products of two-digit decimals are exact but for the rounding of binary fractions.
const exact = 1e-9;

/** The optimum by both planners, and the bounds. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const plan = planTests(data.probabilities, tests);
  if (plan.kind !== "optimal") throw new RangeError(`six states are too many for ${plan.stateLimit}`);
  const ranking = rankActions(plannerInput, { goal: "isolate" });
  const first = ranking.actions[0];
  const least = first?.expectedTotalCost ?? Number.NaN;
  const best = ranking.actions.filter((action) => action.expectedTotalCost < least + exact);
  return [
    row("least expected number of tests, plan of tests", data.optimalExpectedCost, plan.expectedCost),
    row("the same, each state followed down the tree", data.optimalExpectedCost, walkedCost(plan.tree)),
    row('least expected number of tests, planner with the goal "isolate"', data.optimalExpectedCost, least),
    row(
      "tests that may come first in an optimal plan",
      data.optimalFirstTests.join(" "),
      best
        .map((action) => action.id)
        .sort()
        .join(" "),
    ),
    row("entropy of the states, bits", data.entropyBits, entropyBits(data.probabilities), halfLastPlace(6)),
    row("Huffman bound on the number of tests", data.huffmanLength, huffmanLength(data.probabilities)),
  ];
}

function row<Value extends number | string>(
  quantity: string,
  published: Value,
  ours: Value,
  tolerance = typeof published === "number" ? exact : 0,
): ReferenceRow {
  return { quantity, published, ours, tolerance, tag: "recomputed" };
}
