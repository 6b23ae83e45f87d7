import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { createExactSolver, type ExactProblem } from "./exact-plan.js";

const mass = (problem: ExactProblem, mask: number): number =>
  Array.from(problem.weights).reduce((sum, w, k) => ((mask & (1 << k)) === 0 ? sum : sum + w), 0);

/** Least weighted cost by trying every plan, without bounds or memory. */
function byTrying(problem: ExactProblem, mask: number): number {
  const ended = problem.groups === undefined ? mask === 0 : problem.groups.some((g) => (mask & ~g) === 0);
  if (ended) return 0;
  let best = Number.POSITIVE_INFINITY;
  for (const test of problem.tests) {
    const parts = test.outcomes.map((outcome) => outcome & mask).filter((part) => part !== 0);
    if (parts.length < 2) continue;
    const cost = parts.reduce((sum, part) => sum + byTrying(problem, part), test.cost * mass(problem, mask));
    best = Math.min(best, cost);
  }
  for (const repair of problem.repairs) {
    if ((repair.fixes & mask) === 0) continue;
    best = Math.min(best, repair.cost * mass(problem, mask) + byTrying(problem, mask & ~repair.fixes));
  }
  return best === Number.POSITIVE_INFINITY && problem.groups !== undefined ? 0 : best;
}

function randomProblem(seed: number, count: number, testCount: number): ExactProblem {
  const random = createRandom(seed);
  const all = 2 ** count - 1;
  return {
    weights: Array.from({ length: count }, () => random.next() + 0.05),
    tests: Array.from({ length: testCount }, () => {
      const first = random.below(all + 1);
      const second = random.below(all + 1) & ~first;
      return { cost: 1 + random.below(9), outcomes: [first, second, all & ~first & ~second] };
    }),
    repairs: [],
  };
}

describe("createExactSolver", () => {
  it("isolates as cheaply as trying every plan", () => {
    for (let seed = 1; seed <= 30; seed += 1) {
      const problem = {
        ...randomProblem(seed, 5, 4),
        groups: seed % 2 === 0 ? [1, 2, 4, 8, 16] : [3, 4, 24],
      };
      expect(createExactSolver(problem).solve(31), `seed ${seed}`).toBeCloseTo(byTrying(problem, 31), 9);
    }
  });

  it("repairs as cheaply as trying every mixture of tests and repairs", () => {
    for (let seed = 1; seed <= 20; seed += 1) {
      const random = createRandom(1000 + seed);
      const repairs = [1, 2, 12, 16, 31].map((fixes) => ({
        fixes,
        cost: 5 + random.below(30) + (fixes === 31 ? 40 : 0),
      }));
      const problem = { ...randomProblem(seed, 5, 3), repairs };
      expect(createExactSolver(problem).solve(31), `seed ${seed}`).toBeCloseTo(byTrying(problem, 31), 9);
    }
  });

  it("ends where tests tell nothing more, and finds that what nothing ends costs without limit", () => {
    const tests = [{ cost: 2, outcomes: [0b011, 0b100] }];
    const isolating = createExactSolver({ weights: [1, 1, 2], tests, repairs: [], groups: [1, 2, 4] });
    expect(isolating.solve(0b111)).toBe(8);
    expect(isolating.choice(0b011)).toEqual({ kind: "end" });
    const repairing = createExactSolver({ weights: [1, 1, 2], tests, repairs: [{ cost: 1, fixes: 0b110 }] });
    expect(repairing.solve(0b111)).toBe(Number.POSITIVE_INFINITY);
  });

  it("gives up at its limit of states, and takes no more suspects than it can", () => {
    expect(
      createExactSolver(
        { ...randomProblem(3, 10, 12), groups: [1, 2, 4, 8, 16, 32, 64, 128, 256, 512] },
        5,
      ).solve(1023),
    ).toBeUndefined();
    expect(() => createExactSolver({ weights: new Float64Array(21), tests: [], repairs: [] })).toThrow(
      /21 suspects/,
    );
    expect(() => createExactSolver({ weights: [1], tests: [], repairs: [] }).choice(1)).toThrow(/not solved/);
  });
});
