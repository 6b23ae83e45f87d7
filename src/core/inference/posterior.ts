import type { Observable } from "./observable.js";

/** Normalised weights with what normalising them told. */
export interface Posterior {
  /** False if every hypothesis was impossible: then all weights are 0 and `logEvidence` is -Infinity. */
  readonly possible: boolean;
  /** [hypotheses], sums to 1 unless nothing is possible. */
  readonly weights: Float64Array;
  /** Natural logarithm of the sum of the weights before normalising: log P(evidence) if the priors summed to 1. */
  readonly logEvidence: number;
}

/** Which members each hypothesis consists of, as one list cut into pieces; a hypothesis may have none or several. */
export interface MemberSets {
  /** [hypotheses + 1]: members of hypothesis h are `members[offsets[h]] .. members[offsets[h + 1] - 1]`. */
  readonly offsets: Int32Array;
  readonly members: Int32Array;
  /** Members are numbered 0 to `memberCount - 1`. */
  readonly memberCount: number;
}

/**
 * Weights from log weights, scaled by the largest first so that nothing under- or overflows (log-sum-exp).
 * `into` is filled and returned as `weights`. An all-impossible input is a result, not an error.
 * Throws `RangeError` for NaN or +Infinity.
 */
export function normaliseLogWeights(
  logWeights: Float64Array,
  into: Float64Array = new Float64Array(logWeights.length),
): Posterior {
  let largest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < logWeights.length; i += 1) {
    const value = logWeights[i] ?? 0;
    if (!(value < Number.POSITIVE_INFINITY)) throw new RangeError(`log weight ${i} is ${value}`);
    if (value > largest) largest = value;
  }
  // The largest is subtracted below; -Infinity minus itself would be NaN.
  if (largest === Number.NEGATIVE_INFINITY) {
    into.fill(0);
    return { possible: false, weights: into, logEvidence: largest };
  }
  let sum = 0;
  for (let i = 0; i < logWeights.length; i += 1) {
    const weight = Math.exp((logWeights[i] ?? 0) - largest);
    into[i] = weight;
    sum += weight;
  }
  for (let i = 0; i < into.length; i += 1) into[i] = (into[i] ?? 0) / sum;
  return { possible: true, weights: into, logEvidence: largest + Math.log(sum) };
}

/**
 * Adds log P(outcome | hypothesis) to every log weight, in place. An impossible outcome makes a weight -Infinity for
 * good. Throws `RangeError` for an outcome the observable does not have. O(hypotheses + codes).
 */
export function addOutcome(logWeights: Float64Array, observable: Observable, outcome: number): void {
  const { codes, codeCount, outcomeCount, likelihood } = observable;
  if (!Number.isInteger(outcome) || outcome < 0 || outcome >= outcomeCount) {
    throw new RangeError(`outcome ${outcome} is not one of 0 to ${outcomeCount - 1}`);
  }
  if (codes.length !== logWeights.length) {
    throw new RangeError(`observable has ${codes.length} codes for ${logWeights.length} hypotheses`);
  }
  const logLikelihood = new Float64Array(codeCount);
  for (let code = 0; code < codeCount; code += 1) {
    logLikelihood[code] = Math.log(likelihood[code * outcomeCount + outcome] ?? 0);
  }
  for (let i = 0; i < logWeights.length; i += 1) {
    logWeights[i] = (logWeights[i] ?? 0) + (logLikelihood[codes[i] ?? 0] ?? 0);
  }
}

/** [members]: the probability that each member belongs to the true hypothesis. */
export function marginals(weights: Float64Array, sets: MemberSets): Float64Array {
  if (sets.offsets.length !== weights.length + 1) {
    throw new RangeError(
      `${sets.offsets.length} offsets for ${weights.length} hypotheses, expected one more`,
    );
  }
  const result = new Float64Array(sets.memberCount);
  for (let h = 0; h < weights.length; h += 1) {
    const end = sets.offsets[h + 1] ?? 0;
    for (let k = sets.offsets[h] ?? 0; k < end; k += 1) {
      const member = sets.members[k] ?? 0;
      result[member] = (result[member] ?? 0) + (weights[h] ?? 0);
    }
  }
  return result;
}

/** Packs lists of members, one list a hypothesis. Throws `RangeError` for a member outside 0 to `memberCount - 1`. */
export function packMemberSets(lists: readonly (readonly number[])[], memberCount: number): MemberSets {
  const offsets = new Int32Array(lists.length + 1);
  lists.forEach((list, h) => {
    offsets[h + 1] = (offsets[h] ?? 0) + list.length;
  });
  const members = Int32Array.from(lists.flat());
  for (const member of members) {
    if (member < 0 || member >= memberCount) throw new RangeError(`member ${member} of ${memberCount}`);
  }
  return { offsets, members, memberCount };
}
