import { cheapestBit, leastBits } from "./bit-price.js";
import type { CompactProblem } from "./compact-problem.js";
import { entropyBits } from "./information.js";
import { createLookAhead, type LookAhead } from "./look-ahead.js";
import { createPlanState, fillPlanState, type PlanState } from "./plan-state.js";
import type { PlannedActions, PlannerInput, PlannerOptions, RankedAction } from "./planner-input.js";
import { createIsolationCost, createRepairCost, type RemainingCost } from "./remaining-cost.js";
import { fillAfterRepair, giveUpCost, type RepairTransitions, repairTransitions } from "./repair-classes.js";
import { rankRepairs } from "./repair-ranking.js";

const defaultDepth = 2;
const defaultBeam = 12;
/** Tests tried at each inner state, and the tests that inner states choose from. */
const innerBeam = 6;
const poolSize = 32;
/** Tests with more outcomes, looks over the whole board, are only considered as the first one. */
const broadOutcomes = 40;
/** Hypotheses of an inner state lighter than this share of the mean are left out there: mostly instrument errors. */
const negligibleShare = 0.002;
/**
 * Rarer outcomes are taken to be met by repairs only: a look over the whole board has an outcome for each part, and
 * following a hundred of one in a hundred each costs more time than it saves minutes.
 */
const followedMass = 0.01;

/** Expected costs of all actions by limited look-ahead. */
export function rankByLookAhead(
  problem: CompactProblem,
  input: PlannerInput,
  options: PlannerOptions,
): PlannedActions {
  const isolate = options.goal === "isolate";
  const transitions = repairTransitions(problem.classes, input.repairs.length);
  const root = createPlanState(problem.count, transitions.classes.length);
  fillPlanState(root, problem.weights, problem.classOf);
  const remaining = isolate
    ? createIsolationCost(cheapestBit(problem) ?? 0)
    : repairingCost(transitions, input);
  const depth = options.depth ?? defaultDepth;
  const lookAhead = createLookAhead(problem, remaining, transitions.classes.length, depth, {
    innerBeam,
    negligibleShare,
    followedMass,
  });
  const base = remaining.of(root.classes, root.classMasses, root.classCount);
  const tests = rankTests(problem, lookAhead, root, base);
  const repairs = isolate ? [] : rankRepairs(problem, transitions, remaining, input.repairs);
  const beam = options.beam ?? defaultBeam;
  const shallow = [...tests.map((test) => test.action), ...repairs];
  const actions =
    depth === 1
      ? shallow
      : deepen({ problem, transitions, lookAhead, root, depth, beam }, tests, repairs, input);
  return {
    actions: chargeIdleActions(
      actions,
      new Set(tests.filter((test) => test.pays).map((test) => test.action.index)),
    ),
    costWithoutTests: remaining.of(root.classes, root.classMasses, root.classCount),
  };
}

/** Cost of repairing in order, without tests. */
function repairingCost(transitions: RepairTransitions, input: PlannerInput): RemainingCost {
  const terms = input.repairs.map((repair) => ({
    cost: repair.costMinutes,
    success: repair.successProbability ?? 1,
  }));
  return createRepairCost(terms, transitions.classes, giveUpCost(input.repairs));
}

interface RankedTest {
  readonly action: RankedAction;
  /** Remaining cost that its information is taken to save, less its own minutes. */
  readonly worth: number;
  /** True if what it is expected to save, by the estimate of remaining cost itself, is more than its own minutes. */
  readonly pays: boolean;
}

/** All tests, each followed by the remaining cost of its outcomes. */
function rankTests(
  problem: CompactProblem,
  lookAhead: LookAhead,
  root: PlanState,
  base: number,
): RankedTest[] {
  const outlook = lookAhead.createOutlook();
  const bits = entropyBits(problem.weights);
  return problem.tests.map((test, index) => {
    lookAhead.outlookOf(root, index, base, outlook);
    const informationBits = outlook.informationBits;
    const action: RankedAction = {
      kind: "test",
      id: test.id,
      index,
      costMinutes: test.costMinutes,
      expectedTotalCost: outlook.cost,
      informationBits,
      outcomeProbabilities: Array.from(outlook.outcomes.subarray(0, test.observable.outcomeCount)),
    };
    const worth = (bits > 0 ? (base * informationBits) / bits : 0) - test.costMinutes;
    return { action, worth, pays: outlook.cost < base };
  });
}

interface DeepSetting {
  readonly problem: CompactProblem;
  readonly transitions: RepairTransitions;
  readonly lookAhead: LookAhead;
  readonly root: PlanState;
  readonly depth: number;
  readonly beam: number;
}

/**
 * Replaces the costs of the most promising tests and repairs by those of a deeper look. An estimate mostly grows when
 * looked at more closely; actions that were not followed get the largest growth seen, so that they do not overtake
 * those that were.
 */
function deepen(
  setting: DeepSetting,
  tests: readonly RankedTest[],
  repairs: readonly RankedAction[],
  input: PlannerInput,
): RankedAction[] {
  const { problem, transitions, lookAhead, root, depth, beam } = setting;
  // The cheapest after one test, and the most telling for its price: a first test may pay only through the second.
  const byCost = [...tests].sort((a, b) => a.action.expectedTotalCost - b.action.expectedTotalCost);
  const byWorth = [...tests].sort((a, b) => b.worth - a.worth);
  const order = interleave(byCost, byWorth);
  const isNarrow = ({ action }: RankedTest): boolean => action.outcomeProbabilities.length <= broadOutcomes;
  const pool = Int32Array.from(order.filter(isNarrow).slice(0, poolSize), (test) => test.action.index);
  const costs = new Map<RankedAction, number>();
  for (const { action } of order.slice(0, beam)) {
    costs.set(action, lookAhead.deepCost(root, action.index, depth, pool));
  }
  const state = createPlanState(problem.count, transitions.classes.length);
  const likely = [...repairs].sort((a, b) => a.expectedTotalCost - b.expectedTotalCost).slice(0, beam);
  for (const action of likely) {
    const repair = input.repairs[action.index];
    if (repair === undefined || repair.fixes === "everything") continue;
    fillAfterRepair(problem, transitions, action.index, repair, state);
    costs.set(action, action.costMinutes + lookAhead.planCost(state, depth - 1, pool));
  }
  let growth = 0;
  for (const [action, cost] of costs) growth = Math.max(growth, cost - action.expectedTotalCost);
  return [...tests.map((test) => test.action), ...repairs].map((action) => {
    const sure = action.kind === "repair" && input.repairs[action.index]?.fixes === "everything";
    const unseen = sure ? action.expectedTotalCost : action.expectedTotalCost + growth;
    return { ...action, expectedTotalCost: costs.get(action) ?? unseen };
  });
}

/** Takes from two orders in turn, each entry once. */
function interleave<T>(first: readonly T[], second: readonly T[]): T[] {
  const result = new Set<T>();
  first.forEach((entry, i) => {
    result.add(entry);
    const other = second[i];
    if (other !== undefined) result.add(other);
  });
  return [...result];
}

/**
 * An action that changes nothing, or a test that does not pay for itself, is charged on top of the best that does:
 * what follows it is the same choice again. Without this an estimate of remaining cost that is too hopeful would make
 * any cheap test look better than the repair that ends the job.
 */
function chargeIdleActions(actions: readonly RankedAction[], paying: ReadonlySet<number>): RankedAction[] {
  const idle = (action: RankedAction): boolean =>
    action.kind === "test"
      ? action.informationBits <= leastBits || !paying.has(action.index)
      : action.informationBits <= leastBits && !((action.outcomeProbabilities[0] ?? 0) > 0);
  const best = Math.min(
    ...actions.filter((action) => !idle(action)).map((action) => action.expectedTotalCost),
  );
  if (!Number.isFinite(best)) return [...actions];
  return actions.map((action) =>
    idle(action) ? { ...action, expectedTotalCost: best + action.costMinutes } : action,
  );
}
