/** A test without error: the outcomes divide the suspects. */
export interface ExactTest {
  readonly cost: number;
  /** One bit mask of suspects an outcome; the masks are disjoint and cover all suspects. */
  readonly outcomes: readonly number[];
}

/** A repair that surely ends the suspects in `fixes` (a bit mask) and whose check tells whether it did. */
export interface ExactRepair {
  readonly cost: number;
  readonly fixes: number;
}

/** A small planning problem; suspect k is bit k of every mask. */
export interface ExactProblem {
  /** [suspects], at most `exactSuspectLimit`; need not sum to 1. */
  readonly weights: ArrayLike<number>;
  readonly tests: readonly ExactTest[];
  readonly repairs: readonly ExactRepair[];
  /**
   * Masks of suspects that need not be told apart; a plan ends when one of them holds all that is left. Absent: the
   * plan ends when a repair has ended the last suspect.
   */
  readonly groups?: readonly number[];
}

/** What to do in one state: test or repair number `index`, or nothing more. */
export type ExactChoice =
  | { readonly kind: "test"; readonly index: number }
  | { readonly kind: "repair"; readonly index: number }
  | { readonly kind: "end" };

/** A solver that remembers the states it has met. Costs are weighted: multiply by 1 / mass for the conditional cost. */
export interface ExactSolver {
  /** Least expected cost from the suspects in `mask`; Infinity if they can never be ended. Undefined: too many states. */
  solve(mask: number): number | undefined;
  /** The choice that reaches it. Throws `RangeError` for a state that was not solved. */
  choice(mask: number): ExactChoice;
  /** Total weight of the suspects in `mask`. */
  mass(mask: number): number;
}

/** Most suspects of an exact plan; states are subsets, so the work can grow as 2^suspects. */
export const exactSuspectLimit = 20;

/** States after which the search gives up by default. */
export const exactStateLimit = 100_000;

interface Candidate {
  readonly estimate: number;
  readonly stepCost: number;
  readonly children: readonly number[];
  readonly choice: ExactChoice;
}

/**
 * Dynamic programming over the subsets of suspects that can still be true, with a memory, best-looking action first
 * and cut-off by a lower bound (the idea of AO*: Pattipati and Alexandridis 1990). The bound for isolating by tests is the
 * entropy of the groups times the cheapest cost of a bit; for repairing, each suspect's cheapest repair; where repairs
 * may help to isolate, none. Throws `RangeError` for too many suspects and for weights or costs that are negative or no
 * numbers.
 */
export function createExactSolver(problem: ExactProblem, stateLimit = exactStateLimit): ExactSolver {
  const { weights, tests, repairs, groups } = problem;
  const count = weights.length;
  if (count > exactSuspectLimit)
    throw new RangeError(`${count} suspects, an exact plan takes ${exactSuspectLimit}`);
  checkNumbers(problem);
  const values = new Map<number, number>();
  const choices = new Map<number, ExactChoice>();
  const costPerBit = Math.min(
    ...tests.map((test) => test.cost / Math.log2(Math.max(2, test.outcomes.length))),
    Number.MAX_VALUE,
  );
  const cheapestRepair = Array.from({ length: count }, (_, k) =>
    Math.min(
      ...repairs.filter((repair) => (repair.fixes & (1 << k)) !== 0).map((repair) => repair.cost),
      Infinity,
    ),
  );
  // What any plan must tell apart: suspects of one group need not be, suspects that all tests see alike cannot be.
  const parts = groups === undefined ? [] : joinOverlapping([...groups, ...alikeMasks(tests, count)]);
  let exceeded = false;

  const mass = (mask: number): number => {
    let sum = 0;
    for (let rest = mask; rest !== 0; rest &= rest - 1) sum += weights[lowestBit(rest)] ?? 0;
    return sum;
  };

  const atEnd = (mask: number): boolean =>
    groups === undefined ? mask === 0 : groups.some((group) => (mask & ~group) === 0);

  const lowerBound = (mask: number): number => {
    const known = values.get(mask);
    if (known !== undefined) return known;
    if (groups !== undefined) {
      // A repair takes suspects away, which no longer need telling apart: the entropy bounds nothing then.
      if (repairs.length > 0) return 0;
      const total = mass(mask);
      let bits = 0;
      for (const together of parts) {
        const part = mass(mask & together);
        if (part > 0) bits -= part * Math.log2(part / total);
      }
      return bits * costPerBit;
    }
    let sum = 0;
    for (let rest = mask; rest !== 0; rest &= rest - 1) {
      const suspect = lowestBit(rest);
      const weight = weights[suspect] ?? 0;
      if (weight > 0) sum += weight * (cheapestRepair[suspect] ?? 0);
    }
    return sum;
  };

  const candidates = (mask: number): Candidate[] => {
    const total = mass(mask);
    const result: Candidate[] = [];
    const add = (cost: number, children: readonly number[], choice: ExactChoice): void => {
      const stepCost = cost * total;
      const estimate = children.reduce((sum, child) => sum + lowerBound(child), stepCost);
      result.push({ estimate, stepCost, children, choice });
    };
    tests.forEach((test, index) => {
      const children = test.outcomes.map((outcome) => outcome & mask).filter((child) => child !== 0);
      if (children.length > 1) add(test.cost, children, { kind: "test", index });
    });
    repairs.forEach((repair, index) => {
      if ((repair.fixes & mask) !== 0) add(repair.cost, [mask & ~repair.fixes], { kind: "repair", index });
    });
    return result.sort((a, b) => a.estimate - b.estimate);
  };

  const visit = (mask: number): number => {
    const known = values.get(mask);
    if (known !== undefined) return known;
    let best = Number.POSITIVE_INFINITY;
    let choice: ExactChoice = { kind: "end" };
    if (atEnd(mask)) best = 0;
    else if (values.size >= stateLimit) exceeded = true;
    else {
      for (const candidate of candidates(mask)) {
        if (candidate.estimate >= best || exceeded) break;
        let value = candidate.stepCost;
        for (const child of candidate.children) value += visit(child);
        if (value < best) {
          best = value;
          choice = candidate.choice;
        }
      }
      // Suspects that no test separates and no repair ends: when isolating, that is as far as it goes.
      if (best === Number.POSITIVE_INFINITY && groups !== undefined && !exceeded) best = 0;
    }
    values.set(mask, best);
    choices.set(mask, choice);
    return best;
  };

  return {
    solve(mask) {
      const value = exceeded ? undefined : visit(mask);
      return exceeded ? undefined : value;
    },
    choice(mask) {
      const choice = choices.get(mask);
      if (choice === undefined) throw new RangeError(`the state ${mask} was not solved`);
      return choice;
    },
    mass,
  };
}

function checkNumbers({ weights, tests, repairs }: ExactProblem): void {
  for (let k = 0; k < weights.length; k += 1) {
    if (!((weights[k] ?? 0) >= 0)) throw new RangeError(`the weight of suspect ${k} is ${weights[k]}`);
  }
  for (const { cost } of tests) if (!(cost >= 0)) throw new RangeError(`a test costs ${cost}`);
  for (const { cost } of repairs) if (!(cost >= 0)) throw new RangeError(`a repair costs ${cost}`);
}

/** One mask for each set of suspects that every test puts into the same outcome. */
function alikeMasks(tests: readonly ExactTest[], count: number): number[] {
  const masks = new Map<string, number>();
  for (let k = 0; k < count; k += 1) {
    const row = tests.map((test) => test.outcomes.findIndex((mask) => (mask & (1 << k)) !== 0)).join(" ");
    masks.set(row, (masks.get(row) ?? 0) | (1 << k));
  }
  return [...masks.values()];
}

/** Unites masks that share a suspect until all are disjoint. */
function joinOverlapping(masks: readonly number[]): number[] {
  let disjoint: number[] = [];
  for (const mask of masks) {
    const touching = disjoint.filter((other) => (other & mask) !== 0);
    const united = touching.reduce((all, other) => all | other, mask);
    disjoint = [...disjoint.filter((other) => (other & mask) === 0), united];
  }
  return disjoint;
}

function lowestBit(mask: number): number {
  return 31 - Math.clz32(mask & -mask);
}
