import type { PlannedTest } from "../../src/core/inference/test-plan.js";

/** A repair that surely ends the listed suspects. */
export interface NaiveRepair {
  readonly cost: number;
  readonly fixes: readonly number[];
}

/** A planning problem in plain lists; `groups` as in the exact solver, absent for "until repaired". */
export interface NaiveProblem {
  readonly weights: readonly number[];
  readonly tests: readonly PlannedTest[];
  readonly repairs: readonly NaiveRepair[];
  readonly groups?: readonly (readonly number[])[];
}

/**
 * Least weighted cost by trying every plan: no bound, no memory, no bit masks. A test that leaves all suspects together
 * and a repair that ends none of them are never part of the cheapest plan. Exponential; for a handful of suspects.
 */
export function cheapestPlanCost(
  problem: NaiveProblem,
  suspects: readonly number[] = [...problem.weights.keys()],
): number {
  const { weights, tests, repairs, groups } = problem;
  const done =
    groups === undefined
      ? suspects.length === 0
      : groups.some((group) => suspects.every((k) => group.includes(k)));
  if (done) return 0;
  const mass = suspects.reduce((sum, k) => sum + (weights[k] ?? 0), 0);
  let best = Number.POSITIVE_INFINITY;
  for (const test of tests) {
    const parts = splitBy(test, suspects);
    if (parts.length < 2) continue;
    best = Math.min(
      best,
      parts.reduce((cost, part) => cost + cheapestPlanCost(problem, part), test.cost * mass),
    );
  }
  for (const repair of repairs) {
    const left = suspects.filter((k) => !repair.fixes.includes(k));
    if (left.length < suspects.length)
      best = Math.min(best, repair.cost * mass + cheapestPlanCost(problem, left));
  }
  // Isolating ends where nothing can be told apart any more.
  return best === Number.POSITIVE_INFINITY && groups !== undefined ? 0 : best;
}

/** The suspects by what the test would show, in the order in which the outcomes first come. */
export function splitBy(test: PlannedTest, suspects: readonly number[]): number[][] {
  const parts = new Map<number, number[]>();
  for (const k of suspects) {
    const outcome = test.outcomes[k] ?? 0;
    parts.set(outcome, [...(parts.get(outcome) ?? []), k]);
  }
  return [...parts.values()];
}

/** Expected weighted cost of always doing the test with the most information per cost (first of equals). */
export function greedyPlanCost(
  weights: readonly number[],
  tests: readonly PlannedTest[],
  suspects: readonly number[] = [...weights.keys()],
): number {
  const massOf = (part: readonly number[]): number => part.reduce((sum, k) => sum + (weights[k] ?? 0), 0);
  const mass = massOf(suspects);
  let best: { readonly rate: number; readonly cost: number; readonly parts: number[][] } | undefined;
  for (const test of tests) {
    const parts = splitBy(test, suspects);
    if (parts.length < 2) continue;
    const bits = parts
      .map((part) => massOf(part) / mass)
      .reduce((sum, p) => (p > 0 ? sum - p * Math.log2(p) : sum), 0);
    const rate = bits / test.cost;
    if (best === undefined || rate > best.rate + 1e-12) best = { rate, cost: test.cost, parts };
  }
  if (best === undefined) return 0;
  return best.parts.reduce((cost, part) => cost + greedyPlanCost(weights, tests, part), best.cost * mass);
}
