import { describe, expect, it } from "vitest";
import { rankActions } from "../../../src/core/inference/planner.js";
import { cheapestPlanCost, greedyPlanCost } from "../../naive/plan.naive.js";
import { expectRows } from "../support/expect-rows.js";
import { data, plannerInput, tests } from "./example.js";
import { referenceRows } from "./rows.js";

const problem = {
  weights: data.probabilities,
  tests,
  repairs: [],
  groups: data.states.map((_, k) => [k]),
};

describe("the test sequencing example", () => {
  expectRows(referenceRows);

  it("has its optimum confirmed by trying every tree", () => {
    expect(cheapestPlanCost(problem)).toBeCloseTo(data.optimalExpectedCost, 12);
  });

  it("gets the optimum, not the greedy cost, from the planner", () => {
    const ranking = rankActions(plannerInput, { goal: "isolate" });
    expect(ranking.method).toBe("exact");
    const costs = ranking.actions.map((action) => action.expectedTotalCost);
    expect(Math.min(...costs)).toBeCloseTo(costs[0] ?? Number.NaN, 12);
    expect(costs[0]).toBeCloseTo(data.optimalExpectedCost, 12);
    // What most information one step ahead comes to, by the rival in this repository's tests.
    const greedy = greedyPlanCost(data.probabilities, tests);
    expect(greedy).toBeCloseTo(data.greedyExpectedCost, 12);
    expect(costs[0]).toBeLessThan(greedy - 0.5);
  });

  it("ranks each first test by the best that can follow it", () => {
    const { actions } = rankActions(plannerInput, { goal: "isolate" });
    expect(actions).toHaveLength(tests.length);
    for (const action of actions) {
      const test = tests[action.index];
      const parts = [0, 1].map((outcome) =>
        data.states.flatMap((_, k) => (test?.outcomes[k] === outcome ? [k] : [])),
      );
      const following = parts.reduce((cost, part) => cost + cheapestPlanCost(problem, part), data.testCost);
      expect(action.expectedTotalCost).toBeCloseTo(following, 12);
    }
  });
});
