/**
 * Something that can be looked at, reduced to what inference needs: each hypothesis predicts one code, and each code
 * gives a probability to every outcome. Instrument error and behaviour that is not certain live in `likelihood`.
 */
export interface Observable {
  /** [hypotheses]: the code that each hypothesis predicts, below `codeCount`. */
  readonly codes: Uint8Array;
  readonly codeCount: number;
  readonly outcomeCount: number;
  /** [codeCount × outcomeCount], row-major: P(outcome | code); each row sums to 1. */
  readonly likelihood: Float64Array;
}

// Sums of a handful of rounded probabilities stay well inside this.
const rowSumTolerance = 1e-9;

/**
 * Throws `RangeError` naming what is wrong unless `observable` speaks about `hypothesisCount` hypotheses, its codes are
 * in range and its likelihood rows are probability distributions. O(hypotheses + codes × outcomes).
 */
export function checkObservable(observable: Observable, hypothesisCount: number): void {
  const { codes, codeCount, outcomeCount, likelihood } = observable;
  if (codes.length !== hypothesisCount) {
    throw new RangeError(`observable has ${codes.length} codes for ${hypothesisCount} hypotheses`);
  }
  if (codeCount < 1 || outcomeCount < 1 || likelihood.length !== codeCount * outcomeCount) {
    throw new RangeError(
      `likelihood has ${likelihood.length} entries, expected ${codeCount} x ${outcomeCount}`,
    );
  }
  for (let i = 0; i < codes.length; i += 1) {
    const code = codes[i] ?? 0;
    if (code >= codeCount)
      throw new RangeError(`hypothesis ${i} has code ${code}, allowed are 0 to ${codeCount - 1}`);
  }
  for (let code = 0; code < codeCount; code += 1) {
    let sum = 0;
    for (let outcome = 0; outcome < outcomeCount; outcome += 1) {
      const p = likelihood[code * outcomeCount + outcome] ?? 0;
      if (!(p >= 0 && p <= 1))
        throw new RangeError(`likelihood of outcome ${outcome} under code ${code} is ${p}`);
      sum += p;
    }
    if (!(Math.abs(sum - 1) <= rowSumTolerance)) {
      throw new RangeError(`likelihoods under code ${code} sum to ${sum}, expected 1`);
    }
  }
}

/** An observable without error: outcome k is seen exactly when the hypothesis predicts code k. */
export function deterministicObservable(codes: Uint8Array, codeCount: number): Observable {
  const likelihood = new Float64Array(codeCount * codeCount);
  for (let code = 0; code < codeCount; code += 1) likelihood[code * codeCount + code] = 1;
  return { codes, codeCount, outcomeCount: codeCount, likelihood };
}

/** The only outcome possible under each code, or undefined if some code leaves more than one outcome possible. */
export function certainOutcomes(observable: Observable): Uint8Array | undefined {
  const { codeCount, outcomeCount, likelihood } = observable;
  const result = new Uint8Array(codeCount);
  for (let code = 0; code < codeCount; code += 1) {
    const row = likelihood.subarray(code * outcomeCount, (code + 1) * outcomeCount);
    const outcome = row.indexOf(1);
    if (outcome < 0) return undefined;
    result[code] = outcome;
  }
  return result;
}
