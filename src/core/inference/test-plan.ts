import { createExactSolver, type ExactSolver, exactStateLimit } from "./exact-plan.js";

/** A test without error: `outcomes` [suspects] says what each suspect would make it show. */
export interface PlannedTest {
  /** Any unit, the same for all tests; zero or more. */
  readonly cost: number;
  /** Small non-negative integers. */
  readonly outcomes: ArrayLike<number>;
}

/** A decision tree: a test with one branch an outcome, or the suspects that are left. */
export type PlanNode =
  | {
      readonly kind: "test";
      /** Index of the test. */
      readonly test: number;
      /** Expected cost from here on, given that this node is reached; 0 where it cannot be reached. */
      readonly expectedCost: number;
      readonly branches: readonly PlanBranch[];
    }
  | { readonly kind: "leaf"; readonly suspects: readonly number[] };

export interface PlanBranch {
  readonly outcome: number;
  /** Probability given that the node above is reached; 0 where that cannot be reached. */
  readonly probability: number;
  readonly node: PlanNode;
}

/** The cheapest plan, or the news that the problem has more states than allowed. */
export type TestPlan =
  | { readonly kind: "optimal"; readonly expectedCost: number; readonly tree: PlanNode }
  | { readonly kind: "too-large"; readonly stateLimit: number };

/**
 * Cheapest sequence of error-free tests that singles out the true suspect, each test chosen by the outcomes before it
 * (optimal test sequencing: Pattipati and Alexandridis 1990). Suspects that no test separates share a leaf. Weights need
 * not sum to 1. For at most `exactSuspectLimit` (20) suspects; more than `stateLimit` subsets give "too-large". Throws
 * `RangeError` for too many suspects, and unless weights and costs are zero or more with some weight above zero.
 */
export function planTests(
  weights: ArrayLike<number>,
  tests: readonly PlannedTest[],
  stateLimit = exactStateLimit,
): TestPlan {
  const count = weights.length;
  const exactTests = tests.map((test) => ({ cost: test.cost, outcomes: outcomeMasks(test, count) }));
  const groups = Array.from({ length: count }, (_, k) => 1 << k);
  const solver = createExactSolver({ weights, tests: exactTests, repairs: [], groups }, stateLimit);
  const all = 2 ** count - 1;
  if (!(solver.mass(all) > 0)) throw new RangeError(`none of ${count} suspects has any weight`);
  const value = solver.solve(all);
  if (value === undefined) return { kind: "too-large", stateLimit };
  const tree = buildTree(solver, tests, all);
  return { kind: "optimal", expectedCost: value / solver.mass(all), tree };
}

/** One mask of suspects an outcome, by rising outcome. Throws `RangeError` if the test does not cover all suspects. */
export function outcomeMasks(test: PlannedTest, count: number): number[] {
  if (test.outcomes.length !== count) {
    throw new RangeError(`a test has ${test.outcomes.length} outcomes for ${count} suspects`);
  }
  const masks = new Map<number, number>();
  for (let k = 0; k < count; k += 1) {
    const outcome = test.outcomes[k] ?? 0;
    masks.set(outcome, (masks.get(outcome) ?? 0) | (1 << k));
  }
  return [...masks].sort((a, b) => a[0] - b[0]).map(([, mask]) => mask);
}

function buildTree(solver: ExactSolver, tests: readonly PlannedTest[], mask: number): PlanNode {
  const choice = solver.choice(mask);
  const suspects = suspectsOf(mask);
  const test = choice.kind === "test" ? tests[choice.index] : undefined;
  if (choice.kind !== "test" || test === undefined) return { kind: "leaf", suspects };
  const mass = solver.mass(mask);
  const seen = new Set(suspects.map((k) => test.outcomes[k] ?? 0));
  const branches = [...seen]
    .sort((a, b) => a - b)
    .map((outcome) => {
      const child = suspects.filter((k) => test.outcomes[k] === outcome).reduce((m, k) => m | (1 << k), 0);
      return { outcome, probability: share(solver.mass(child), mass), node: buildTree(solver, tests, child) };
    });
  return { kind: "test", test: choice.index, expectedCost: share(solver.solve(mask) ?? 0, mass), branches };
}

/** `part` for each unit of `mass`; 0 where there is none, among suspects without weight. */
function share(part: number, mass: number): number {
  return mass > 0 ? part / mass : 0;
}

function suspectsOf(mask: number): number[] {
  const result: number[] = [];
  for (let rest = mask; rest !== 0; rest &= rest - 1) result.push(31 - Math.clz32(rest & -rest));
  return result;
}
