import { equalHuffmanLength, huffmanLength } from "./information.js";
import { distinctSplits, type Splits } from "./probe-table.js";

/** Weighted suspects and the columns of outcomes that tell them apart. */
export interface ProbeProblem {
  /** [suspects], all positive. */
  readonly weights: Float64Array;
  /** Words a column, ceil(suspects / 32). */
  readonly words: number;
  /** [columns × words], row-major, packed as in `ProbeTable`. */
  readonly outcomes: Int32Array;
  /** Number of columns. */
  readonly columnCount: number;
}

/** How wide and how long to search. */
export interface ProbeSearchLimits {
  /** Sets of at most this many suspects are searched through every split that could be better. */
  readonly exactSize: number;
  /** Splits tried in larger sets, best-looking first. */
  readonly beam: number;
  /** Sets opened before every set that is left is given only its best-looking split. */
  readonly openLimit: number;
}

/** What the search knows of one set of suspects; all costs are weighted: divide by `mass` for probes. */
export interface ProbeState {
  readonly mask: Int32Array;
  readonly size: number;
  readonly mass: number;
  /** Entropy in bits times mass; 0 where all weights are equal, which need it not. */
  readonly entropyMass: number;
  /** No plan costs less. */
  lower: number;
  /** Cost of the plan found, Infinity before one was. */
  upper: number;
  /** Most probes that the plan found takes. */
  worst: number;
  /** First column of the plan found, -1 if none. */
  column: number;
  /** True if `upper` is what this search settled on. */
  done: boolean;
}

/** Searches for cheap probe plans, with a memory of the sets met. */
export interface ProbeSearch {
  /** Plan for all suspects. */
  readonly solve: () => ProbeState;
  /** Sets opened so far. */
  readonly opened: () => number;
}

/**
 * Expected number of equal-cost probes by dynamic programming over the sets of suspects that can remain. Each set tries
 * its splits in order of the Huffman bound of the two parts and stops as soon as no split left can beat the plan in
 * hand; small sets are searched to the end, large ones through a beam. The search for the optimum is that of Pattipati
 * and Alexandridis (1990) with Huffman's bound in place of theirs.
 */
export function createProbeSearch(problem: ProbeProblem, limits: ProbeSearchLimits): ProbeSearch {
  const { weights, words, outcomes } = problem;
  const equal = weights.every((w) => w === weights[0]);
  const unit = weights[0] ?? 0;
  const equalBound = Float64Array.from({ length: weights.length + 1 }, (_, n) =>
    n === 0 ? 0 : equalHuffmanLength(n) * n * unit,
  );
  const states = new Map<number, ProbeState[]>();
  let opened = 0;

  const stateOf = (mask: Int32Array): ProbeState => {
    let hash = 0;
    for (let w = 0; w < words; w += 1) {
      hash = Math.imul(hash ^ (mask[w] ?? 0), 0x9e3779b1);
      hash ^= hash >>> 15;
    }
    const rivals = states.get(hash);
    const known = rivals?.find((state) => state.mask.every((word, w) => word === mask[w]));
    if (known !== undefined) return known;
    const state = newState(mask);
    if (rivals === undefined) states.set(hash, [state]);
    else rivals.push(state);
    return state;
  };

  const newState = (mask: Int32Array): ProbeState => {
    let size = 0;
    let mass = 0;
    const members: number[] = [];
    let entropyMass = 0;
    for (let w = 0; w < words; w += 1) {
      for (let rest = mask[w] ?? 0; rest !== 0; rest &= rest - 1) {
        size += 1;
        if (equal) continue;
        const weight = weights[32 * w + 31 - Math.clz32(rest & -rest)] ?? 0;
        mass += weight;
        entropyMass -= entropyTerm(weight);
        members.push(weight);
      }
    }
    if (equal) mass = size * unit;
    else entropyMass += entropyTerm(mass);
    const lower = equal ? (equalBound[size] ?? 0) : huffmanLength(members) * mass;
    const done = size <= 1;
    return {
      mask,
      size,
      mass,
      entropyMass,
      lower,
      upper: done ? 0 : Number.POSITIVE_INFINITY,
      worst: 0,
      column: -1,
      done,
    };
  };

  /** The `width` most promising splits: lowest bound first, among equal bounds the most even one. */
  const rank = (splits: Splits, state: ProbeState, width: number): RankedSplit[] => {
    const ranked: RankedSplit[] = [];
    for (let k = 0; k < splits.count; k += 1) {
      const part = massOf(splits.side, k * words);
      const rest = state.mass - part;
      const unevenness = Math.abs(rest - part);
      let bound = state.mass;
      if (equal) {
        const size = Math.round(part / unit);
        bound += (equalBound[size] ?? 0) + (equalBound[state.size - size] ?? 0);
      } else bound += state.entropyMass - entropyTerm(state.mass) + entropyTerm(part) + entropyTerm(rest);
      insertRanked(ranked, k, bound, unevenness, width);
    }
    return ranked;
  };

  const massOf = (data: Int32Array, at: number): number => {
    let sum = 0;
    for (let w = 0; w < words; w += 1) {
      const bits = data[at + w] ?? 0;
      if (equal) sum += bitCount(bits);
      else
        for (let rest = bits; rest !== 0; rest &= rest - 1)
          sum += weights[32 * w + 31 - Math.clz32(rest & -rest)] ?? 0;
    }
    return equal ? sum * unit : sum;
  };

  const visit = (state: ProbeState, columns: ArrayLike<number>): void => {
    if (state.done) return;
    opened += 1;
    const splits = distinctSplits(outcomes, words, columns, state.mask);
    const width = opened > limits.openLimit ? 1 : state.size <= limits.exactSize ? splits.count : limits.beam;
    for (const next of rank(splits, state, width)) {
      if (next.bound >= state.upper - tolerance * state.mass) break;
      const side = splits.side.slice(next.split * words, (next.split + 1) * words);
      const one = stateOf(side);
      const other = stateOf(state.mask.map((word, w) => word & ~(side[w] ?? 0)));
      if (state.mass + one.lower + other.lower >= state.upper - tolerance * state.mass) continue;
      visit(one, splits.column);
      if (state.mass + one.upper + other.lower >= state.upper - tolerance * state.mass) continue;
      visit(other, splits.column);
      const cost = state.mass + one.upper + other.upper;
      const worst = 1 + Math.max(one.worst, other.worst);
      const slack = tolerance * state.mass;
      if (cost < state.upper - slack || (cost <= state.upper + slack && worst < state.worst)) {
        state.upper = Math.min(state.upper, cost);
        state.worst = worst;
        state.column = splits.column[next.split] ?? -1;
      }
    }
    state.done = true;
  };

  return {
    solve() {
      const all = new Int32Array(words);
      for (let s = 0; s < weights.length; s += 1) all[s >>> 5] = (all[s >>> 5] ?? 0) | (1 << (s & 31));
      const state = stateOf(all);
      visit(
        state,
        Int32Array.from({ length: problem.columnCount }, (_, k) => k),
      );
      return state;
    },
    opened: () => opened,
  };
}

// Sums of a few thousand rounded weights differ by less.
const tolerance = 1e-9;

interface RankedSplit {
  readonly split: number;
  readonly bound: number;
  readonly unevenness: number;
}

/** Keeps `ranked` in order and at most `width` long; of equals the earlier stays ahead. */
function insertRanked(
  ranked: RankedSplit[],
  split: number,
  bound: number,
  unevenness: number,
  width: number,
): void {
  let at = ranked.length;
  while (at > 0) {
    const before = ranked[at - 1];
    if (before === undefined || before.bound < bound) break;
    if (before.bound === bound && before.unevenness <= unevenness) break;
    at -= 1;
  }
  if (at >= width) return;
  if (ranked.length >= width) ranked.pop();
  ranked.splice(at, 0, { split, bound, unevenness });
}

function entropyTerm(mass: number): number {
  return mass > 0 ? mass * Math.log2(mass) : 0;
}

/** Number of ones among 32 bits, by adding neighbours in parallel. */
function bitCount(bits: number): number {
  let x = bits - ((bits >>> 1) & 0x55555555);
  x = (x & 0x33333333) + ((x >>> 2) & 0x33333333);
  x = (x + (x >>> 4)) & 0x0f0f0f0f;
  return Math.imul(x, 0x01010101) >>> 24;
}
