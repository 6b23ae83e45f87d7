import type { Observable } from "./observable.js";

/** A test that could be done next. */
export interface PlannerTest {
  readonly id: string;
  /** Minutes, or any unit of cost that the repairs use too; zero or more. */
  readonly costMinutes: number;
  readonly observable: Observable;
}

/** A repair that could be done next: replacing one part, reseating, or giving the job up. */
export interface PlannerRepair {
  readonly id: string;
  /** Minutes for the repair and for the check after it, which tells whether the machine works. */
  readonly costMinutes: number;
  /** Hypotheses that this repair ends, or "everything" for a last resort such as sending the machine away. */
  readonly fixes: Int32Array | "everything";
  /** Probability that it works where its hypothesis is true, such as the chance that a spare is good; 1 if absent. */
  readonly successProbability?: number;
}

/** All that the planner looks at. */
export interface PlannerInput {
  /** [hypotheses], at most one of them true, sums to 1. */
  readonly weights: Float64Array;
  readonly tests: readonly PlannerTest[];
  readonly repairs: readonly PlannerRepair[];
  /** [hypotheses]: how many of the repairs that name a hypothesis must be done to end it: 2 for a pair of bad parts. Default 1. */
  readonly repairsNeeded?: Uint8Array;
}

/** How far to look and what counts as the end. */
export interface PlannerOptions {
  /** "repair": until the machine works. "isolate": until one group is left, repairs are not considered. Default "repair". */
  readonly goal?: "repair" | "isolate";
  /** [hypotheses] for "isolate": hypotheses with equal numbers need not be told apart. Default: all need. */
  readonly groups?: Int32Array;
  /** Tests looked ahead: 1 to 3. Default 2. */
  readonly depth?: number;
  /** Tests that are followed to the full depth. Default 12. */
  readonly beam?: number;
  /** Weight of unlikely hypotheses that may be left out. Default 0.001. */
  readonly neglectedWeight?: number;
  /** Small problems without error are solved exactly up to this many hypotheses that differ; 0 never. Default 12. */
  readonly exactHypotheses?: number;
}

/** One possible next step with what it is expected to lead to. */
export interface RankedAction {
  readonly kind: "test" | "repair";
  readonly id: string;
  /** Position in the input's `tests` or `repairs`. */
  readonly index: number;
  /** Minutes of the step itself. */
  readonly costMinutes: number;
  /** Expected minutes from now to the goal, this step included, going on as well as the look-ahead can see. */
  readonly expectedTotalCost: number;
  /** Expected information about the hypotheses in bits; for a repair, what its check tells. */
  readonly informationBits: number;
  /** P(outcome) for a test; [works, does not] for a repair. */
  readonly outcomeProbabilities: readonly number[];
}

/** Ranked actions in any order, with the expected cost of never testing again. */
export interface PlannedActions {
  readonly actions: readonly RankedAction[];
  readonly costWithoutTests: number;
}

const weightSumTolerance = 1e-6;

/** Throws `RangeError` naming the first thing that is wrong with the input or the options. */
export function checkPlannerInput(input: PlannerInput, options: PlannerOptions): void {
  const { weights, tests, repairs, repairsNeeded } = input;
  let sum = 0;
  for (const weight of weights) {
    if (!(weight >= 0)) throw new RangeError(`a weight is ${weight}`);
    sum += weight;
  }
  if (!(Math.abs(sum - 1) <= weightSumTolerance)) throw new RangeError(`weights sum to ${sum}, expected 1`);
  for (const test of tests) {
    const { codes, codeCount, outcomeCount, likelihood } = test.observable;
    if (!(test.costMinutes >= 0)) throw new RangeError(`test ${test.id} costs ${test.costMinutes} minutes`);
    if (codes.length !== weights.length || likelihood.length !== codeCount * outcomeCount) {
      throw new RangeError(`test ${test.id} has ${codes.length} codes for ${weights.length} hypotheses`);
    }
  }
  for (const repair of repairs) {
    const success = repair.successProbability ?? 1;
    if (!(repair.costMinutes >= 0))
      throw new RangeError(`repair ${repair.id} costs ${repair.costMinutes} minutes`);
    if (!(success >= 0 && success <= 1))
      throw new RangeError(`repair ${repair.id} works with probability ${success}`);
    if (repair.fixes === "everything") {
      if (success < 1)
        throw new RangeError(`repair ${repair.id} ends everything and must work surely, not ${success}`);
      continue;
    }
    for (const h of repair.fixes) {
      if (h < 0 || h >= weights.length) throw new RangeError(`repair ${repair.id} names hypothesis ${h}`);
    }
  }
  if (repairsNeeded !== undefined && repairsNeeded.length !== weights.length) {
    throw new RangeError(
      `repairsNeeded has ${repairsNeeded.length} entries for ${weights.length} hypotheses`,
    );
  }
  const depth = options.depth ?? 2;
  if (!(depth >= 1 && depth <= 3 && Number.isInteger(depth)))
    throw new RangeError(`depth is ${depth}, allowed 1 to 3`);
  if (options.groups !== undefined && options.groups.length !== weights.length) {
    throw new RangeError(`groups has ${options.groups.length} entries for ${weights.length} hypotheses`);
  }
}
