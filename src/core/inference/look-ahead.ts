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
  /** Outcomes with less mass than this, of 1 at the start, are not followed by further tests. */
  readonly followedMass: number;
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
  /** The test followed by the remaining cost of each outcome; `base` is that of the state. Fills `outlook`. */
  outlookOf(state: PlanState, test: number, base: number, outlook: TestOutlook): void;
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
  const present = new Int32Array(maximumCodes);
  const columnOf = new Int32Array(maximumCodes);
  const raised = new Int32Array(maximumOutcomes);
  const isRaised = new Uint8Array(maximumOutcomes);
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

  /** Codes that some hypothesis of the state has; fills `present` and `columnOf`, and returns how many there are. */
  const presentCodes = (codeCount: number): number => {
    let count = 0;
    for (let code = 0; code < codeCount; code += 1) {
      if ((codeMasses[code] ?? 0) <= 0) continue;
      present[count] = code;
      columnOf[code] = count;
      count += 1;
    }
    return count;
  };

  /**
   * Fills `outcomeMasses` [outcomes][classes of the state] from `table` [classes][present codes], for the outcomes that
   * some present code makes likelier than the least any code gives; lists them in `raised` and returns how many.
   */
  const spreadOutcomes = (state: PlanState, presentCount: number, likelihood: SparseLikelihood): number => {
    const { floor, firstOf, outcomesOf, extras } = likelihood;
    let raisedCount = 0;
    for (let column = 0; column < presentCount; column += 1) {
      const code = present[column] ?? 0;
      const end = firstOf[code + 1] ?? 0;
      for (let entry = firstOf[code] ?? 0; entry < end; entry += 1) {
        const outcome = outcomesOf[entry] ?? 0;
        const masses = outcomeMasses[outcome] ?? codeMasses;
        if (isRaised[outcome] === 0) {
          isRaised[outcome] = 1;
          raised[raisedCount] = outcome;
          raisedCount += 1;
          const share = floor[outcome] ?? 0;
          for (let slot = 0; slot < state.classCount; slot += 1) {
            masses[slot] = (state.classMasses[slot] ?? 0) * share;
          }
        }
        const extra = extras[entry] ?? 0;
        let cell = column;
        for (let slot = 0; slot < state.classCount; slot += 1) {
          masses[slot] = (masses[slot] ?? 0) + (table[cell] ?? 0) * extra;
          cell += presentCount;
        }
      }
    }
    for (let i = 0; i < raisedCount; i += 1) isRaised[raised[i] ?? 0] = 0;
    return raisedCount;
  };

  const outlookOf = (state: PlanState, test: number, base: number, outlook: TestOutlook): void => {
    const { costMinutes } = tests[test] ?? missingTest(test);
    outlook.informationBits = informationOf(state, test, outlook.outcomes);
    const { codeCount } = (tests[test] ?? missingTest(test)).observable;
    const { live, weights, slots, count, classCount } = state;
    const presentCount = presentCodes(codeCount);
    const cells = classCount * presentCount;
    for (let i = 0; i < cells; i += 1) table[i] = 0;
    const row = test * total;
    for (let i = 0; i < count; i += 1) {
      const cell = (slots[i] ?? 0) * presentCount + (columnOf[codes[row + (live[i] ?? 0)] ?? 0] ?? 0);
      table[cell] = (table[cell] ?? 0) + (weights[i] ?? 0);
    }
    let cost = costMinutes * state.mass;
    const likelihood = sparse[test] ?? missingTest(test);
    const raisedCount = spreadOutcomes(state, presentCount, likelihood);
    // An outcome that all present codes give equally leaves the state as it is, and costs grow in proportion with mass.
    let unmoved = likelihood.floorSum;
    for (let i = 0; i < raisedCount; i += 1) {
      const outcome = raised[i] ?? 0;
      unmoved -= likelihood.floor[outcome] ?? 0;
      if ((outlook.outcomes[outcome] ?? 0) <= 0) continue;
      cost += remaining.of(state.classes, outcomeMasses[outcome] ?? codeMasses, classCount);
    }
    outlook.cost = cost + Math.max(0, unmoved) * base;
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
        outlookOf(state, test, base, outlook);
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
      cost += planAt(below.state, mass < limits.followedMass ? 0 : depth - 1, pool, level + 1);
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
  readonly floorSum: number;
  /** [codes + 1]: the entries of a code begin here. */
  readonly firstOf: Int32Array;
  /** [entries]: outcome and P(outcome | code) - floor of that outcome, where it is above 0. */
  readonly outcomesOf: Int32Array;
  readonly extras: Float64Array;
}

function sparseLikelihood(observable: Observable): SparseLikelihood {
  const { codeCount, outcomeCount, likelihood } = observable;
  const floor = new Float64Array(outcomeCount).fill(1);
  likelihood.forEach((p, cell) => {
    floor[cell % outcomeCount] = Math.min(floor[cell % outcomeCount] ?? 1, p);
  });
  const outcomesOf: number[] = [];
  const extras: number[] = [];
  const firstOf = new Int32Array(codeCount + 1);
  for (let code = 0; code < codeCount; code += 1) {
    for (let outcome = 0; outcome < outcomeCount; outcome += 1) {
      const extra = (likelihood[code * outcomeCount + outcome] ?? 0) - (floor[outcome] ?? 0);
      if (extra <= 0) continue;
      outcomesOf.push(outcome);
      extras.push(extra);
    }
    firstOf[code + 1] = extras.length;
  }
  return {
    floor,
    floorSum: floor.reduce((sum, p) => sum + p, 0),
    firstOf,
    outcomesOf: Int32Array.from(outcomesOf),
    extras: Float64Array.from(extras),
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
