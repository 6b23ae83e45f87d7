import type { CompactProblem } from "./compact-problem.js";
import { createExactSolver, exactSuspectLimit } from "./exact-plan.js";
import { certainOutcomes } from "./observable.js";
import type { PlannedActions, PlannerInput, PlannerOptions, RankedAction } from "./planner-input.js";

const defaultExactHypotheses = 12;
/** Beyond this the look-ahead is quicker than the exact search. */
const stateLimit = 20_000;

/**
 * Exact ranking of a small problem: few hypotheses, tests without error, repairs that surely work and end a hypothesis
 * alone. Undefined if the problem is not of that kind or has too many states.
 */
export function rankExactly(
  problem: CompactProblem,
  input: PlannerInput,
  options: PlannerOptions,
): PlannedActions | undefined {
  const { count, weights } = problem;
  if (count > Math.min(options.exactHypotheses ?? defaultExactHypotheses, exactSuspectLimit))
    return undefined;
  const isolate = options.goal === "isolate";
  const tests = certainTests(problem);
  const repairs = isolate ? [] : certainRepairs(problem, input);
  if (tests === undefined || repairs === undefined) return undefined;
  const all = 2 ** count - 1;
  const classMasks = problem.classes.map((_, id) => maskWhere(problem, (classId) => classId === id));
  const groups = classMasks.filter((mask) => mask !== 0);
  const exactProblem = { weights, tests, repairs };
  const solver = createExactSolver(isolate ? { ...exactProblem, groups } : exactProblem, stateLimit);
  const solve = (mask: number): number => solver.solve(mask) ?? Number.NaN;

  const actions: RankedAction[] = [];
  tests.forEach((test, index) => {
    const source = problem.tests[index];
    if (source === undefined) return;
    const parts = test.outcomes.map((outcome) => outcome & all);
    actions.push({
      kind: "test",
      id: source.id,
      index,
      costMinutes: source.costMinutes,
      expectedTotalCost: parts.reduce((sum, part) => sum + solve(part), test.cost),
      informationBits: splitBits(parts.map(solver.mass)),
      outcomeProbabilities: parts.map(solver.mass),
    });
  });
  repairs.forEach((repair, index) => {
    const works = solver.mass(repair.fixes);
    actions.push({
      kind: "repair",
      id: input.repairs[index]?.id ?? "",
      index,
      costMinutes: repair.cost,
      expectedTotalCost: repair.cost + solve(all & ~repair.fixes),
      informationBits: splitBits([works, 1 - works]),
      outcomeProbabilities: [works, 1 - works],
    });
  });
  if (actions.some((action) => !Number.isFinite(action.expectedTotalCost))) return undefined;
  const costWithoutTests = isolate
    ? solve(all)
    : (createExactSolver({ ...exactProblem, tests: [] }, stateLimit).solve(all) ?? Number.NaN);
  return { actions, costWithoutTests };
}

function splitBits(masses: readonly number[]): number {
  return masses.reduce((bits, p) => (p > 0 && p < 1 ? bits - p * Math.log2(p) : bits), 0);
}

function maskWhere(problem: CompactProblem, wanted: (classId: number) => boolean): number {
  let mask = 0;
  problem.classOf.forEach((classId, i) => {
    if (wanted(classId)) mask |= 1 << i;
  });
  return mask;
}

/** The tests as divisions of the hypotheses, one mask an outcome; undefined if some test can err. */
function certainTests(problem: CompactProblem) {
  const result = [];
  for (const [index, test] of problem.tests.entries()) {
    const certain = certainOutcomes(test.observable);
    if (certain === undefined) return undefined;
    const outcomes = new Array<number>(test.observable.outcomeCount).fill(0);
    for (let i = 0; i < problem.count; i += 1) {
      const outcome = certain[problem.codes[index * problem.count + i] ?? 0] ?? 0;
      outcomes[outcome] = (outcomes[outcome] ?? 0) | (1 << i);
    }
    result.push({ cost: test.costMinutes, outcomes });
  }
  return result;
}

/** The repairs as masks; undefined if one may fail, a hypothesis needs several, or one has no repair at all. */
function certainRepairs(problem: CompactProblem, input: PlannerInput) {
  const all = 2 ** problem.count - 1;
  let covered = 0;
  const result = [];
  for (const [index, repair] of input.repairs.entries()) {
    if ((repair.successProbability ?? 1) < 1) return undefined;
    const fixes =
      repair.fixes === "everything"
        ? all
        : maskWhere(problem, (id) => problem.classes[id]?.repairs.includes(index) ?? false);
    covered |= fixes;
    result.push({ cost: repair.costMinutes, fixes });
  }
  const single = problem.classOf.every((id) => problem.classes[id]?.needed === 1);
  return single && covered === all ? result : undefined;
}
