import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { cheapestPlanCost, greedyPlanCost, splitBy } from "../../../test/naive/plan.naive.js";
import { outcomeMasks, type PlanNode, type PlannedTest, planTests } from "./test-plan.js";

/** Suspects whose rows are equal in every test. */
function alike(tests: readonly PlannedTest[], a: number, b: number): boolean {
  return tests.every((test) => test.outcomes[a] === test.outcomes[b]);
}

/** Checks a tree node by node: the division of suspects, probabilities and expected costs all follow from its tests. */
function checkNode(
  node: PlanNode,
  suspects: readonly number[],
  weights: readonly number[],
  tests: readonly PlannedTest[],
): number {
  if (node.kind === "leaf") {
    expect(node.suspects).toEqual(suspects);
    expect(suspects.every((k) => alike(tests, k, suspects[0] ?? -1))).toBe(true);
    return 0;
  }
  const test = tests[node.test];
  expect(test).toBeDefined();
  if (test === undefined) return Number.NaN;
  const massOf = (part: readonly number[]): number => part.reduce((sum, k) => sum + (weights[k] ?? 0), 0);
  const mass = massOf(suspects);
  const parts = splitBy(test, suspects).sort(
    (a, b) => (test.outcomes[a[0] ?? 0] ?? 0) - (test.outcomes[b[0] ?? 0] ?? 0),
  );
  expect(parts.length).toBeGreaterThan(1);
  expect(node.branches.map(({ outcome }) => outcome)).toEqual(
    parts.map((part) => test.outcomes[part[0] ?? 0]),
  );
  let cost = test.cost;
  parts.forEach((part, k) => {
    const branch = node.branches[k];
    if (branch === undefined) return;
    expect(branch.probability).toBeCloseTo(mass > 0 ? massOf(part) / mass : 0, 10);
    cost += branch.probability * checkNode(branch.node, part, weights, tests);
  });
  expect(node.expectedCost).toBeCloseTo(mass > 0 ? cost : 0, 8);
  return node.expectedCost;
}

const problems = fc.integer({ min: 1, max: 6 }).chain((count) =>
  fc.record({
    weights: fc
      .array(fc.nat(20), { minLength: count, maxLength: count })
      .filter((parts) => parts.some((part) => part > 0)),
    tests: fc.array(
      fc.record({
        cost: fc.integer({ min: 1, max: 10 }),
        outcomes: fc.array(fc.nat(2), { minLength: count, maxLength: count }),
      }),
      { maxLength: 5 },
    ),
  }),
);

describe("planTests", () => {
  it("is as cheap as the cheapest of all trees, and its tree is what it says", () => {
    let greedyIsWorse = 0;
    fc.assert(
      fc.property(problems, ({ weights, tests }) => {
        const total = weights.reduce((sum, w) => sum + w, 0);
        const groups = weights.map((_, k) => [k]);
        const plan = planTests(weights, tests);
        expect(plan.kind).toBe("optimal");
        if (plan.kind !== "optimal") return;
        const expected = cheapestPlanCost({ weights, tests, repairs: [], groups }) / total;
        expect(plan.expectedCost).toBeCloseTo(expected, 8);
        expect(checkNode(plan.tree, [...weights.keys()], weights, tests)).toBeCloseTo(expected, 8);
        if (weights.every((w) => w > 0)) {
          const greedy = greedyPlanCost(weights, tests) / total;
          expect(plan.expectedCost).toBeLessThanOrEqual(greedy + 1e-9);
          if (plan.expectedCost < greedy - 1e-9) greedyIsWorse += 1;
        }
      }),
      { seed: 20, numRuns: 500 },
    );
    expect(greedyIsWorse).toBeGreaterThan(10);
  });

  it("prefers one dear test to two cheap ones only where it pays", () => {
    const cheap = [
      { cost: 1, outcomes: [0, 0, 1, 1] },
      { cost: 1, outcomes: [0, 1, 0, 1] },
    ];
    const withOne = (cost: number) =>
      planTests([0.25, 0.25, 0.25, 0.25], [...cheap, { cost, outcomes: [0, 1, 2, 3] }]);
    expect(withOne(2.5)).toMatchObject({ expectedCost: 2, tree: { test: 0 } });
    expect(withOne(1.5)).toMatchObject({ expectedCost: 1.5, tree: { test: 2 } });
  });

  it("names what cannot be told apart", () => {
    const tests = [{ cost: 2, outcomes: [0, 1, 1] }];
    expect(planTests([0.5, 0.25, 0.25], tests)).toEqual({
      kind: "optimal",
      expectedCost: 2,
      tree: {
        kind: "test",
        test: 0,
        expectedCost: 2,
        branches: [
          { outcome: 0, probability: 0.5, node: { kind: "leaf", suspects: [0] } },
          { outcome: 1, probability: 0.5, node: { kind: "leaf", suspects: [1, 2] } },
        ],
      },
    });
  });

  it("costs nothing for one suspect, and gives branches of probability 0 to suspects without weight", () => {
    expect(planTests([0.3], [])).toEqual({
      kind: "optimal",
      expectedCost: 0,
      tree: { kind: "leaf", suspects: [0] },
    });
    const plan = planTests(
      [1, 0, 0],
      [
        { cost: 1, outcomes: [0, 1, 1] },
        { cost: 1, outcomes: [0, 0, 1] },
      ],
    );
    expect(plan).toMatchObject({ expectedCost: 1, tree: { kind: "test", test: 0 } });
    expect(JSON.stringify(plan)).not.toContain("null");
  });

  it.each([
    ["no suspects", []],
    ["no weight", [0, 0]],
    ["a negative weight", [1, -0.5]],
    ["no number", [1, Number.NaN]],
  ])("rejects %s", (_, weights) => {
    expect(() => planTests(weights, [])).toThrow(RangeError);
  });

  it("says when the problem is too large", () => {
    const count = 12;
    const tests = Array.from({ length: count }, (_, k) => ({
      cost: 1,
      outcomes: Array.from({ length: count }, (_, suspect) => Number(suspect === k)),
    }));
    expect(planTests(new Float64Array(count).fill(1), tests, 50)).toEqual({
      kind: "too-large",
      stateLimit: 50,
    });
    expect(planTests(new Float64Array(count).fill(1), tests).kind).toBe("optimal");
    expect(() => planTests(new Float64Array(21).fill(1), [])).toThrow(RangeError);
  });
});

describe("outcomeMasks", () => {
  it("gives one mask an outcome that occurs, by rising outcome", () => {
    expect(outcomeMasks({ cost: 1, outcomes: [7, 0, 7, 3] }, 4)).toEqual([0b0010, 0b1000, 0b0101]);
  });

  it("rejects a test about other suspects", () => {
    expect(() => outcomeMasks({ cost: 1, outcomes: [0, 1] }, 3)).toThrow(
      "a test has 2 outcomes for 3 suspects",
    );
  });
});
