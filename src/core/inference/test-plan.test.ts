import { describe, expect, it } from "vitest";
import { type PlanNode, planTests } from "./test-plan.js";

/** Expected cost of a tree, from its leaves up, and the suspects found at its leaves. */
function walk(node: PlanNode, costs: readonly number[]): { cost: number; suspects: number[] } {
  if (node.kind === "leaf") return { cost: 0, suspects: [...node.suspects] };
  const below = node.branches.map((branch) => ({ branch, ...walk(branch.node, costs) }));
  const cost = below.reduce((sum, b) => sum + b.branch.probability * b.cost, costs[node.test] ?? Number.NaN);
  expect(node.expectedCost).toBeCloseTo(cost, 12);
  return { cost, suspects: below.flatMap((b) => b.suspects) };
}

describe("planTests", () => {
  it("prefers one dear test over two cheap ones only where it pays", () => {
    const both = { outcomes: [0, 1, 2, 3] };
    const cheap = [
      { cost: 1, outcomes: [0, 0, 1, 1] },
      { cost: 1, outcomes: [0, 1, 0, 1] },
    ];
    const weights = [0.25, 0.25, 0.25, 0.25];
    const dear = planTests(weights, [...cheap, { ...both, cost: 2.5 }]);
    const worth = planTests(weights, [...cheap, { ...both, cost: 1.5 }]);
    expect(dear.kind === "optimal" && dear.expectedCost).toBe(2);
    expect(worth.kind === "optimal" && worth.expectedCost).toBe(1.5);
  });

  it("gives a tree whose own arithmetic is the expected cost, with every suspect at one leaf", () => {
    const costs = [2, 3, 1];
    const tests = [
      [0, 1, 1, 2, 0],
      [1, 1, 0, 0, 0],
      [0, 0, 0, 0, 1],
    ].map((outcomes, t) => ({ cost: costs[t] ?? 0, outcomes }));
    const plan = planTests([0.1, 0.2, 0.3, 0.25, 0.15], tests);
    if (plan.kind !== "optimal") throw new Error("expected a plan");
    const { cost, suspects } = walk(plan.tree, costs);
    expect(cost).toBeCloseTo(plan.expectedCost, 12);
    expect(suspects.sort()).toEqual([0, 1, 2, 3, 4]);
  });

  it("keeps suspects together that no test separates", () => {
    const plan = planTests([1, 1, 2], [{ cost: 4, outcomes: [1, 1, 0] }]);
    expect(plan).toEqual({
      kind: "optimal",
      expectedCost: 4,
      tree: {
        kind: "test",
        test: 0,
        expectedCost: 4,
        branches: [
          { outcome: 0, probability: 0.5, node: { kind: "leaf", suspects: [2] } },
          { outcome: 1, probability: 0.5, node: { kind: "leaf", suspects: [0, 1] } },
        ],
      },
    });
  });

  it("says when a problem has too many states, and rejects tests that do not cover the suspects", () => {
    const tests = Array.from({ length: 8 }, (_, t) => ({
      cost: 1,
      outcomes: Array.from({ length: 8 }, (_, k) => (k === t ? 1 : 0)),
    }));
    expect(planTests(new Float64Array(8).fill(1 / 8), tests, 3)).toEqual({
      kind: "too-large",
      stateLimit: 3,
    });
    expect(() => planTests([1, 1], [{ cost: 1, outcomes: [0] }])).toThrow(/1 outcomes for 2 suspects/);
  });
});
