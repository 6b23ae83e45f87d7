import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { cheapestPlanCost, type NaiveProblem } from "../../../test/naive/plan.naive.js";
import { createExactSolver, type ExactProblem, type ExactSolver, exactSuspectLimit } from "./exact-plan.js";
import { outcomeMasks, type PlannedTest } from "./test-plan.js";

function maskOf(suspects: readonly number[]): number {
  return suspects.reduce((mask, k) => mask | (1 << k), 0);
}

function exactProblem(problem: NaiveProblem): ExactProblem {
  const { weights, tests, repairs, groups } = problem;
  return {
    weights,
    tests: tests.map((test) => ({ cost: test.cost, outcomes: outcomeMasks(test, weights.length) })),
    repairs: repairs.map((repair) => ({ cost: repair.cost, fixes: maskOf(repair.fixes) })),
    ...(groups === undefined ? {} : { groups: groups.map(maskOf) }),
  };
}

const counts = fc.integer({ min: 1, max: 5 });

function weightsFor(count: number): fc.Arbitrary<number[]> {
  return fc.array(fc.nat(20), { minLength: count, maxLength: count });
}

function testsFor(count: number): fc.Arbitrary<PlannedTest[]> {
  const test = fc.record({
    cost: fc.nat(10),
    outcomes: fc.array(fc.nat(2), { minLength: count, maxLength: count }),
  });
  return fc.array(test, { maxLength: 4 });
}

function repairsFor(count: number, minimum: number): fc.Arbitrary<{ cost: number; fixes: number[] }[]> {
  const fixes = fc.uniqueArray(fc.nat(count - 1), { maxLength: 3 });
  return fc.array(fc.record({ cost: fc.nat(40), fixes }), { minLength: minimum, maxLength: 4 });
}

function groupsFor(count: number): fc.Arbitrary<number[][]> {
  return fc.array(fc.uniqueArray(fc.nat(count - 1), { minLength: 1 }), { maxLength: 4 });
}

/** Follows the choices from a state to the end and adds up what they cost. */
function costOfChoices(problem: ExactProblem, solver: ExactSolver, mask: number): number {
  const choice = solver.choice(mask);
  if (choice.kind === "end") return 0;
  if (choice.kind === "repair") {
    const repair = problem.repairs[choice.index];
    if (repair === undefined || (repair.fixes & mask) === 0) return Number.NaN;
    return repair.cost * solver.mass(mask) + costOfChoices(problem, solver, mask & ~repair.fixes);
  }
  const test = problem.tests[choice.index];
  if (test === undefined) return Number.NaN;
  const parts = test.outcomes.map((outcome) => outcome & mask).filter((part) => part !== 0);
  if (parts.length < 2) return Number.NaN;
  return parts.reduce(
    (sum, part) => sum + costOfChoices(problem, solver, part),
    test.cost * solver.mass(mask),
  );
}

function expectOptimal(problem: NaiveProblem): void {
  const exact = exactProblem(problem);
  const solver = createExactSolver(exact);
  const all = 2 ** problem.weights.length - 1;
  const expected = cheapestPlanCost(problem);
  const found = solver.solve(all);
  if (expected === Number.POSITIVE_INFINITY) {
    expect(found).toBe(expected);
    return;
  }
  expect(found).toBeCloseTo(expected, 8);
  expect(costOfChoices(exact, solver, all)).toBeCloseTo(expected, 8);
}

describe("the exact solver", () => {
  it("repairs at the least cost of all plans", () => {
    const problems = counts.chain((count) =>
      fc.record({ weights: weightsFor(count), tests: testsFor(count), repairs: repairsFor(count, 1) }),
    );
    fc.assert(fc.property(problems, expectOptimal), { seed: 16, numRuns: 400 });
  });

  it("repairs at the least cost when everything can be repaired and tests are cheap", () => {
    const problems = counts.chain((count) =>
      fc.record({
        weights: weightsFor(count),
        tests: testsFor(count),
        repairs: repairsFor(count, 0).map((repairs) => [
          ...repairs,
          { cost: 60, fixes: Array.from({ length: count }, (_, k) => k) },
        ]),
      }),
    );
    fc.assert(fc.property(problems, expectOptimal), { seed: 17, numRuns: 400 });
  });

  it("isolates at the least cost of all plans, with groups that may overlap or leave suspects out", () => {
    const problems = counts.chain((count) =>
      fc.record({
        weights: weightsFor(count),
        tests: testsFor(count),
        repairs: fc.constant([]),
        groups: groupsFor(count),
      }),
    );
    fc.assert(fc.property(problems, expectOptimal), { seed: 18, numRuns: 600 });
  });

  it("isolates at the least cost of all plans when repairs help to narrow down", () => {
    const count = 4;
    const problems = fc.record({
      weights: weightsFor(count),
      tests: testsFor(count),
      repairs: repairsFor(count, 2),
      // Every suspect alone most of the time: the more there is to tell apart, the more a repair can save.
      groups: fc.oneof(fc.constant([[0], [1], [2], [3]]), groupsFor(count)),
    });
    fc.assert(fc.property(problems, expectOptimal), { seed: 19, numRuns: 2000 });
  });

  it("counts on repairs that spare telling suspects apart", () => {
    // Telling all apart costs 16 x 17; the repair of 2 and then of 1 leaves one suspect for less.
    const solver = createExactSolver({
      weights: [5, 4, 8],
      tests: [{ cost: 16, outcomes: [1, 2, 4] }],
      repairs: [
        { cost: 5, fixes: 2 },
        { cost: 9, fixes: 4 },
      ],
      groups: [1, 2, 4],
    });
    expect(solver.solve(7)).toBe(9 * 17 + 5 * 9);
  });

  it("finds no way to end a suspect that no repair ends", () => {
    const solver = createExactSolver({ weights: [1, 1], tests: [], repairs: [{ cost: 1, fixes: 1 }] });
    expect(solver.solve(3)).toBe(Number.POSITIVE_INFINITY);
    expect(solver.solve(1)).toBe(1);
  });

  it("stops where all that is left belongs to one group, or cannot be told apart", () => {
    const problem = { weights: [1, 1, 2, 2], tests: [{ cost: 3, outcomes: [3, 12] }], repairs: [] };
    const grouped = createExactSolver({ ...problem, groups: [7, 8] });
    expect(grouped.solve(7)).toBe(0);
    expect(grouped.choice(7)).toEqual({ kind: "end" });
    expect(grouped.solve(15)).toBe(18);
    expect(grouped.choice(15)).toEqual({ kind: "test", index: 0 });
    expect(grouped.choice(12)).toEqual({ kind: "end" });
  });

  it("gives up, for good, when there are too many states", () => {
    const count = 10;
    const tests = Array.from({ length: count }, (_, k) => ({
      cost: 1,
      outcomes: [1 << k, (2 ** count - 1) & ~(1 << k)],
    }));
    const groups = tests.map((_, k) => 1 << k);
    const solver = createExactSolver(
      { weights: new Float64Array(count).fill(1), tests, repairs: [], groups },
      20,
    );
    expect(solver.solve(2 ** count - 1)).toBeUndefined();
    expect(solver.solve(1)).toBeUndefined();
  });

  it("takes as many suspects as it promises and no more", () => {
    const weights = new Float64Array(exactSuspectLimit).fill(1);
    const all = 2 ** exactSuspectLimit - 1;
    const solver = createExactSolver({ weights, tests: [], repairs: [{ cost: 2, fixes: all }] });
    expect(solver.solve(all)).toBe(2 * exactSuspectLimit);
    const tooMany = new Float64Array(exactSuspectLimit + 1);
    expect(() => createExactSolver({ weights: tooMany, tests: [], repairs: [] })).toThrow(
      "21 suspects, an exact plan takes 20",
    );
  });

  it.each([-1, Number.NaN])("rejects the cost or weight %s", (cost) => {
    const tests = [{ cost, outcomes: [1, 2] }];
    const repairs = [{ cost, fixes: 3 }];
    expect(() => createExactSolver({ weights: [1, 1], tests, repairs: [] })).toThrow(RangeError);
    expect(() => createExactSolver({ weights: [1, 1], tests: [], repairs })).toThrow(RangeError);
    expect(() => createExactSolver({ weights: [1, cost], tests: [], repairs: [] })).toThrow(RangeError);
  });

  it("does not invent a choice for a state it has not met", () => {
    const solver = createExactSolver({ weights: [1, 1], tests: [], repairs: [{ cost: 1, fixes: 3 }] });
    expect(() => solver.choice(3)).toThrow("the state 3 was not solved");
  });
});
