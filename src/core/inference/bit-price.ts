import type { CompactProblem } from "./compact-problem.js";
import { expectedInformationBits } from "./information.js";

/** Bits below which a test does not count as telling anything. */
export const leastBits = 1e-6;

/** Least cost per bit that any test offers at the start, in minutes; undefined if no test tells anything. */
export function cheapestBit(problem: CompactProblem): number | undefined {
  let best: number | undefined;
  problem.tests.forEach((test, t) => {
    const codes = problem.codes.subarray(t * problem.count, (t + 1) * problem.count);
    const bits = expectedInformationBits(problem.weights, { ...test.observable, codes });
    if (bits > leastBits) best = Math.min(best ?? Number.POSITIVE_INFINITY, test.costMinutes / bits);
  });
  return best;
}
