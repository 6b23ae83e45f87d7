import type { CompactProblem } from "./compact-problem.js";
import { informationOfCodeMassesBits } from "./information.js";
import type { Observable } from "./observable.js";
import { condition, createPlanState, type PlanState } from "./plan-state.js";
import type { RemainingCost } from "./remaining-cost.js";

/** Limits of the look-ahead below the first test. */
export interface LookAheadLimits {
  /** Tests tried at each inner state, best looking first. */
  readonly innerBeam: number;
  /** Hypotheses of a state lighter than this share of the mean are left out there. */
  readonly negligibleShare: number;
}

/** What one test is expected to do in one state. */
export interface TestOutlook {
  /** Expected cost, multiplied by the mass of the state. */
  cost: number;
  informationBits: number;
  /** Filled with P(outcome), multiplied by the mass of the state. */
  readonly outcomes: Float64Array;
}

/** Expected costs of tests with further tests behind them. */
export interface LookAhead {
  /** The test followed by the remaining cost of each outcome. Fills `outlook`. */
  outlookOf(state: PlanState, test: number, outlook: TestOutlook): void;
  /** The test followed by the best plan with up to `depth` - 1 further tests from `pool`; weighted by the mass. */
  deepCost(state: PlanState, test: number, depth: number, pool: Int32Array): number;
  /** Best plan with up to `depth` tests from `pool`; weighted by the mass. */
  planCost(state: PlanState, depth: number, pool: Int32Array): number;
  createOutlook(): TestOutlook;
}

/** Prepares buffers for `problem`; nothing is allocated afterwards. `classCapacity` bounds the class numbers used. */
export function createLookAhead(
  problem: CompactProblem,
  remaining: RemainingCost,
  classCapacity: number,
  maximumDepth: number,
  limits: LookAheadLimits,
): LookAhead {
  const { count: total, codes, tests, rowEntropies } = problem;
  const maximumCodes = tests.reduce((most, test) => Math.max(most, test.observable.codeCount), 1);
  const maximumOutcomes = tests.reduce((most, test) => Math.max(most, test.observable.outcomeCount), 1);
  const table = new Float64Array(classCapacity * maximumCodes);
  const codeMasses = new Float64Array(maximumCodes);
  const outcomeMasses = Array.from({ length: maximumOutcomes }, () => new Float64Array(classCapacity));
  const sparse = tests.map((test) => sparseLikelihood(test.observable));
  const createOutlook = (): TestOutlook => ({
    cost: 0,
    informationBits: 0,
    outcomes: new Float64Array(maximumOutcomes),
  });
  // One set of buffers a level: a state cannot share them with the states below it.
  const levels = Array.from({ length: maximumDepth + 1 }, () => ({
    state: createPlanState(total, classCapacity),
    outlook: createOutlook(),
    candidates: new Int32Array(limits.innerBeam),
    scores: new Float64Array(limits.innerBeam),
  }));

  /** Fills `outcomeMasses` [outcomes][classes of the state] from the table of class and code masses. */
  const spreadOutcomes = (state: PlanState, codeCount: number, likelihood: SparseLikelihood): void => {
    const { floor, codesOf, outcomesOf, extras } = likelihood;
    for (let outcome = 0; outcome < floor.length; outcome += 1) {
      const masses = outcomeMasses[outcome] ?? codeMasses;
      const share = floor[outcome] ?? 0;
      for (let slot = 0; slot < state.classCount; slot += 1) {
        masses[slot] = (state.classMasses[slot] ?? 0) * share;
      }
    }
    for (let entry = 0; entry < extras.length; entry += 1) {
      const masses = outcomeMasses[outcomesOf[entry] ?? 0] ?? codeMasses;
      const extra = extras[entry] ?? 0;
      let cell = codesOf[entry] ?? 0;
      for (let slot = 0; slot < state.classCount; slot += 1) {
        masses[slot] = (masses[slot] ?? 0) + (table[cell] ?? 0) * extra;
        cell += codeCount;
      }
    }
  };

  const outlookOf = (state: PlanState, test: number, outlook: TestOutlook): void => {
    const { observable, costMinutes } = tests[test] ?? missingTest(test);
    const { codeCount, outcomeCount } = observable;
    const { live, weights, slots, count, classCount } = state;
    const cells = classCount * codeCount;
    for (let i = 0; i < cells; i += 1) table[i] = 0;
    const row = test * total;
    for (let i = 0; i < count; i += 1) {
      const cell = (slots[i] ?? 0) * codeCount + (codes[row + (live[i] ?? 0)] ?? 0);
      table[cell] = (table[cell] ?? 0) + (weights[i] ?? 0);
    }
    for (let code = 0; code < codeCount; code += 1) {
      let sum = 0;
      for (let cell = code; cell < cells; cell += codeCount) sum += table[cell] ?? 0;
      codeMasses[code] = sum;
    }
    outlook.informationBits = informationOfCodeMassesBits(
      codeMasses,
      observable,
      rowEntropies[test] ?? codeMasses,
      outlook.outcomes,
    );
    let cost = costMinutes * state.mass;
    spreadOutcomes(state, codeCount, sparse[test] ?? missingTest(test));
    for (let outcome = 0; outcome < outcomeCount; outcome += 1) {
      if ((outlook.outcomes[outcome] ?? 0) <= 0) continue;
      const masses = outcomeMasses[outcome] ?? codeMasses;
      cost += remaining.of(state.classes, masses, classCount);
    }
    outlook.cost = cost;
  };

  const informationOf = (state: PlanState, test: number, outcomes: Float64Array): number => {
    const { observable } = tests[test] ?? missingTest(test);
    const { live, weights, count } = state;
    for (let code = 0; code < observable.codeCount; code += 1) codeMasses[code] = 0;
    const row = test * total;
    for (let i = 0; i < count; i += 1) {
      const code = codes[row + (live[i] ?? 0)] ?? 0;
      codeMasses[code] = (codeMasses[code] ?? 0) + (weights[i] ?? 0);
    }
    return informationOfCodeMassesBits(codeMasses, observable, rowEntropies[test] ?? codeMasses, outcomes);
  };

  /**
   * The tests of `pool` that look best: a bit is taken to save its share of the remaining cost, so the score is
   * remaining cost × information / entropy - cost of the test. Returns how many were put into `candidates`.
   */
  const chooseCandidates = (
    state: PlanState,
    base: number,
    stopping: number,
    pool: Int32Array,
    level: number,
  ): number => {
    const buffers = levels[level] ?? missingLevel(level);
    const { candidates, scores, outlook } = buffers;
    let bits = 0;
    for (let i = 0; i < state.count; i += 1) {
      const p = state.weights[i] ?? 0;
      if (p > 0) bits -= p * Math.log2(p / state.mass);
    }
    if (bits <= 0) return 0;
    let filled = 0;
    for (let i = 0; i < pool.length; i += 1) {
      const test = pool[i] ?? 0;
      const cost = (tests[test] ?? missingTest(test)).costMinutes * state.mass;
      if (cost >= stopping) continue;
      const information = informationOf(state, test, outlook.outcomes);
      if (information <= leastInformation * state.mass) continue;
      const score = (base * information) / bits - cost;
      let at = filled < limits.innerBeam ? filled : filled - 1;
      if (filled === limits.innerBeam && score <= (scores[at] ?? 0)) continue;
      while (at > 0 && (scores[at - 1] ?? 0) < score) {
        scores[at] = scores[at - 1] ?? 0;
        candidates[at] = candidates[at - 1] ?? 0;
        at -= 1;
      }
      scores[at] = score;
      candidates[at] = test;
      if (filled < limits.innerBeam) filled += 1;
    }
    return filled;
  };

  const planAt = (state: PlanState, depth: number, pool: Int32Array, level: number): number => {
    const base = remaining.of(state.classes, state.classMasses, state.classCount);
    if (depth === 0 || base <= 0) return base;
    const stopping = remaining.stopping(state.classes, state.classMasses, state.classCount);
    const { candidates, outlook } = levels[level] ?? missingLevel(level);
    const filled = chooseCandidates(state, base, stopping, pool, level);
    if (filled === 0) return Number.isFinite(stopping) ? stopping : base;
    let best = stopping;
    for (let i = 0; i < filled; i += 1) {
      const test = candidates[i] ?? 0;
      let cost: number;
      if (depth > 1) {
        informationOf(state, test, outlook.outcomes);
        cost = followAt(state, test, depth, pool, level, outlook.outcomes);
      } else {
        outlookOf(state, test, outlook);
        cost = outlook.cost;
      }
      if (cost < best) best = cost;
    }
    return best;
  };

  const followAt = (
    state: PlanState,
    test: number,
    depth: number,
    pool: Int32Array,
    level: number,
    outcomes: Float64Array,
  ): number => {
    const { observable, costMinutes } = tests[test] ?? missingTest(test);
    const below = levels[level + 1] ?? missingLevel(level + 1);
    let cost = costMinutes * state.mass;
    for (let outcome = 0; outcome < observable.outcomeCount; outcome += 1) {
      const mass = outcomes[outcome] ?? 0;
      if (mass <= leastInformation * state.mass) continue;
      const factors = codeMasses;
      for (let code = 0; code < observable.codeCount; code += 1) {
        factors[code] = observable.likelihood[code * observable.outcomeCount + outcome] ?? 0;
      }
      const row = codes.subarray(test * total, (test + 1) * total);
      condition(state, row, factors, mass, limits.negligibleShare, below.state);
      cost += planAt(below.state, depth - 1, pool, level + 1);
    }
    return cost;
  };

  return {
    createOutlook,
    outlookOf,
    planCost: (state, depth, pool) => planAt(state, depth, pool, 0),
    deepCost(state, test, depth, pool) {
      const { outlook } = levels[0] ?? missingLevel(0);
      informationOf(state, test, outlook.outcomes);
      return followAt(state, test, depth, pool, 0, outlook.outcomes);
    },
  };
}

/**
 * A likelihood split into what every code gives to an outcome at least, and what some codes give above that. With an
 * instrument that is mostly right, few entries are left.
 */
interface SparseLikelihood {
  /** [outcomes] */
  readonly floor: Float64Array;
  /** [entries]: code, outcome and P(outcome | code) - floor of that outcome, where it is above 0. */
  readonly codesOf: Int32Array;
  readonly outcomesOf: Int32Array;
  readonly extras: Float64Array;
}

function sparseLikelihood(observable: Observable): SparseLikelihood {
  const { codeCount, outcomeCount, likelihood } = observable;
  const floor = new Float64Array(outcomeCount).fill(1);
  likelihood.forEach((p, cell) => {
    floor[cell % outcomeCount] = Math.min(floor[cell % outcomeCount] ?? 1, p);
  });
  const cells = Array.from({ length: codeCount * outcomeCount }, (_, cell) => cell).filter(
    (cell) => (likelihood[cell] ?? 0) > (floor[cell % outcomeCount] ?? 0),
  );
  return {
    floor,
    codesOf: Int32Array.from(cells, (cell) => Math.floor(cell / outcomeCount)),
    outcomesOf: Int32Array.from(cells, (cell) => cell % outcomeCount),
    extras: Float64Array.from(cells, (cell) => (likelihood[cell] ?? 0) - (floor[cell % outcomeCount] ?? 0)),
  };
}

/** Bits below which a test tells nothing; also the share of an outcome too rare to follow. */
const leastInformation = 1e-6;

function missingTest(test: number): never {
  throw new RangeError(`there is no test ${test}`);
}

function missingLevel(level: number): never {
  throw new RangeError(`look-ahead has no level ${level}`);
}
