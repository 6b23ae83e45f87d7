import type { Observable } from "./observable.js";

/** p log2 p with the limit 0 at p = 0. */
function plogp(p: number): number {
  return p > 0 ? p * Math.log2(p) : 0;
}

/** Shannon entropy in bits of weights that sum to 1. */
export function entropyBits(weights: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < weights.length; i += 1) sum -= plogp(weights[i] ?? 0);
  // Subtracting -0 leaves a negative zero for a certain state.
  return sum + 0;
}

/** [codeCount]: entropy in bits of each likelihood row, the part of an outcome that is instrument noise. */
export function rowEntropiesBits(observable: Observable): Float64Array {
  const { codeCount, outcomeCount, likelihood } = observable;
  const result = new Float64Array(codeCount);
  for (let code = 0; code < codeCount; code += 1) {
    result[code] = entropyBits(likelihood.subarray(code * outcomeCount, (code + 1) * outcomeCount));
  }
  return result;
}

/**
 * Mutual information in bits between hypothesis and outcome, H(outcome) - Σ P(code) H(outcome | code), from the total
 * weight of each code. `outcomeProbabilities` [outcomeCount] is filled. Weights need not sum to 1: with mass m the
 * result is m times the information of the normalised weights, and the probabilities are m times too large.
 */
export function informationOfCodeMassesBits(
  codeMasses: Float64Array,
  observable: Observable,
  rowEntropies: Float64Array,
  outcomeProbabilities: Float64Array,
): number {
  const { codeCount, outcomeCount, likelihood } = observable;
  let mass = 0;
  let noise = 0;
  for (let code = 0; code < codeCount; code += 1) {
    mass += codeMasses[code] ?? 0;
    noise += (codeMasses[code] ?? 0) * (rowEntropies[code] ?? 0);
  }
  let information = plogp(mass) - noise;
  for (let outcome = 0; outcome < outcomeCount; outcome += 1) {
    let p = 0;
    for (let code = 0; code < codeCount; code += 1) {
      p += (codeMasses[code] ?? 0) * (likelihood[code * outcomeCount + outcome] ?? 0);
    }
    outcomeProbabilities[outcome] = p;
    information -= plogp(p);
  }
  // Rounding can leave a tiny negative number where nothing is learnt.
  return Math.max(0, information);
}

/** Expected information in bits of looking at `observable` under normalised `weights`; O(hypotheses + codes × outcomes). */
export function expectedInformationBits(weights: Float64Array, observable: Observable): number {
  const codeMasses = new Float64Array(observable.codeCount);
  for (let i = 0; i < weights.length; i += 1) {
    const code = observable.codes[i] ?? 0;
    codeMasses[code] = (codeMasses[code] ?? 0) + (weights[i] ?? 0);
  }
  const outcomes = new Float64Array(observable.outcomeCount);
  return informationOfCodeMassesBits(codeMasses, observable, rowEntropiesBits(observable), outcomes);
}

/**
 * Expected number of two-way tests that the best imaginable tests would need to single out one of the weighted
 * alternatives: the mean code length of a Huffman code (Huffman 1952), a lower bound for any real set of tests. Never
 * below the entropy and less than one above it. Weights need not be normalised; zeros are ignored. O(n log n).
 */
export function huffmanLength(weights: ArrayLike<number>): number {
  const leaves = Float64Array.from(weights)
    .filter((w) => w > 0)
    .sort();
  const merged = new Float64Array(Math.max(0, leaves.length - 1));
  let nextLeaf = 0;
  let nextMerged = 0;
  let total = 0;
  const takeSmallest = (end: number): number => {
    const leaf = nextLeaf < leaves.length ? (leaves[nextLeaf] ?? 0) : Number.POSITIVE_INFINITY;
    const node = nextMerged < end ? (merged[nextMerged] ?? 0) : Number.POSITIVE_INFINITY;
    if (leaf <= node) nextLeaf += 1;
    else nextMerged += 1;
    return Math.min(leaf, node);
  };
  for (let k = 0; k < merged.length; k += 1) {
    const sum = takeSmallest(k) + takeSmallest(k);
    merged[k] = sum;
    total += sum;
  }
  const mass = leaves.reduce((sum, w) => sum + w, 0);
  return mass > 0 ? total / mass : 0;
}

/**
 * Huffman bound for `count` equally likely alternatives: k + 2 (count - 2^k) / count with k = floor(log2 count).
 * Throws `RangeError` unless `count` is a positive integer.
 */
export function equalHuffmanLength(count: number): number {
  if (!Number.isInteger(count) || count < 1)
    throw new RangeError(`count must be a positive integer, got ${count}`);
  const k = Math.floor(Math.log2(count));
  return k + (2 * (count - 2 ** k)) / count;
}
