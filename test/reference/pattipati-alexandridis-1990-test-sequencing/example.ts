import { readFileSync } from "node:fs";
import { z } from "zod";
import { deterministicObservable } from "../../../src/core/inference/observable.js";
import type { PlannerInput } from "../../../src/core/inference/planner-input.js";
import type { PlanNode, PlannedTest } from "../../../src/core/inference/test-plan.js";

const dataSchema = z.strictObject({
  states: z.array(z.string()),
  probabilities: z.array(z.number()),
  tests: z.array(z.string()),
  outcomes: z.array(z.string().regex(/^[01]+$/)),
  testCost: z.number(),
  optimalExpectedCost: z.number(),
  optimalFirstTests: z.array(z.string()),
  entropyBits: z.number(),
  huffmanLength: z.number(),
  greedyExpectedCost: z.number(),
});

/** The example and its answers. */
export const data = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** The tests for the plan of tests. */
export const tests: readonly PlannedTest[] = data.tests.map((_, t) => ({
  cost: data.testCost,
  outcomes: data.outcomes.map((row) => Number(row[t])),
}));

/** The same for the planner, without any repair. */
export const plannerInput: PlannerInput = {
  weights: Float64Array.from(data.probabilities),
  tests: data.tests.map((id, t) => ({
    id,
    costMinutes: data.testCost,
    observable: deterministicObservable(Uint8Array.from(tests[t]?.outcomes ?? []), 2),
  })),
  repairs: [],
};

/** Expected cost of a tree, by following every state of the machine down to its leaf. */
export function walkedCost(tree: PlanNode): number {
  const costOf = (node: PlanNode, state: number): number => {
    if (node.kind === "leaf") return node.suspects.includes(state) ? 0 : Number.NaN;
    const outcome = tests[node.test]?.outcomes[state];
    const branch = node.branches.find((candidate) => candidate.outcome === outcome);
    return branch === undefined ? Number.NaN : data.testCost + costOf(branch.node, state);
  };
  return data.probabilities.reduce((sum, p, state) => sum + p * costOf(tree, state), 0);
}
