import { compactProblem } from "./compact-problem.js";
import { rankExactly } from "./planner-exact.js";
import {
  checkPlannerInput,
  type PlannerInput,
  type PlannerOptions,
  type RankedAction,
} from "./planner-input.js";
import { rankByLookAhead } from "./planner-look-ahead.js";

/** All actions, cheapest way to the goal first, and how the ranking was made. */
export interface ActionRanking {
  readonly actions: readonly RankedAction[];
  /** Expected minutes with repairs only, no more tests; the forecast for the goal "isolate". */
  readonly costWithoutTests: number;
  /** True if the first action is a repair: no test considered is worth its minutes now. */
  readonly replaceBeatsMeasuring: boolean;
  /** The single repair most likely to bring the machine back, give-up excluded; undefined if there is none. */
  readonly likeliestRepair: LikeliestRepair | undefined;
  /** "exact": the expected costs are those of an optimal plan. "look-ahead": estimates from a limited search. */
  readonly method: "exact" | "look-ahead";
  /** Hypotheses that were told apart, after leaving out the unlikely and merging equals. */
  readonly hypothesesConsidered: number;
  /** Weight of the hypotheses left out as too unlikely. */
  readonly neglectedWeight: number;
}

/** A repair and the probability that it alone makes the machine work. */
export interface LikeliestRepair {
  readonly id: string;
  readonly index: number;
  readonly probability: number;
}

/**
 * Ranks tests and repairs by expected cost to the goal. A test costs its minutes plus, over its outcomes, the least of
 * stopping there with the best order of repairs and of going on testing, to `depth` tests; a repair costs its minutes
 * plus what follows if it does not work. Small problems without error are planned exactly. Throws `RangeError` for
 * malformed input. Method: value of information under expected cost of repair (Heckerman, Breese and Rommelse 1995),
 * with look-ahead beyond one test for the best `beam` tests.
 */
export function rankActions(input: PlannerInput, options: PlannerOptions = {}): ActionRanking {
  checkPlannerInput(input, options);
  const problem = compactProblem(input, options);
  const exact = rankExactly(problem, input, options);
  const planned = exact ?? rankByLookAhead(problem, input, options);
  const actions = [...planned.actions].sort(compareActions);
  return {
    actions,
    costWithoutTests: planned.costWithoutTests,
    replaceBeatsMeasuring: actions[0]?.kind === "repair",
    likeliestRepair: likeliestRepair(input),
    method: exact === undefined ? "look-ahead" : "exact",
    hypothesesConsidered: problem.count,
    neglectedWeight: problem.neglectedWeight,
  };
}

/** Equal costs: the more telling first, then repairs before tests, then the order of the input. */
function compareActions(a: RankedAction, b: RankedAction): number {
  const cost = a.expectedTotalCost - b.expectedTotalCost;
  if (Math.abs(cost) > equalCost) return cost;
  const information = b.informationBits - a.informationBits;
  if (Math.abs(information) > equalCost) return information;
  return a.kind === b.kind ? a.index - b.index : a.kind === "repair" ? -1 : 1;
}

/** Costs closer than this differ by rounding only. */
const equalCost = 1e-9;

/**
 * The repair with the highest probability of being enough, give-up excluded: the figure to weigh when deciding to stop
 * measuring. Undefined if no repair can help.
 */
export function likeliestRepair(input: PlannerInput): LikeliestRepair | undefined {
  let best: LikeliestRepair | undefined;
  input.repairs.forEach((repair, index) => {
    if (repair.fixes === "everything") return;
    let probability = 0;
    for (const h of repair.fixes)
      if ((input.repairsNeeded?.[h] ?? 1) === 1) probability += input.weights[h] ?? 0;
    probability *= repair.successProbability ?? 1;
    if (probability > (best?.probability ?? 0)) best = { id: repair.id, index, probability };
  });
  return best;
}
