/**
 * Turns rates into prior odds such that a board known to be faulty has the expected number of faults.
 *
 * Faults are taken to be independent. The number on a board is then close to Poisson with some mean L, and on a board
 * that has at least one it averages L / (1 - e^-L); that equation is solved for L. A fault with rate r out of a
 * sum R has the probability 1 - e^(-L·r/R) of being there, that is, odds of e^(L·r/R) - 1.
 *
 * @param rates failures per million hours (or any unit), none negative, not all zero
 * @param expectedFaults mean number of faults of a faulty board, above 1
 * @returns odds in the order of `rates`
 * @throws RangeError if an argument is out of range
 */
export function oddsFromRates(rates: readonly number[], expectedFaults: number): Float64Array {
  const total = rates.reduce((sum, rate) => sum + rate, 0);
  if (!(total > 0 && Number.isFinite(total)) || rates.some((rate) => rate < 0)) {
    throw new RangeError("rates must be 0 or more, finite, and not all 0");
  }
  const mean = faultIntensity(expectedFaults);
  return Float64Array.from(rates, (rate) => Math.expm1((mean * rate) / total));
}

/** L of L / (1 - e^-L) = `expectedFaults`, by bisection; above 1 and at most 20 faults. */
export function faultIntensity(expectedFaults: number): number {
  if (!(expectedFaults > 1 && expectedFaults <= 20)) {
    throw new RangeError(`expected faults must be above 1 and at most 20, got ${expectedFaults}`);
  }
  let low = 0;
  let high = expectedFaults;
  // 60 halvings bring 20 below the resolution of a double.
  for (let step = 0; step < 60; step += 1) {
    const middle = (low + high) / 2;
    if (middle / -Math.expm1(-middle) < expectedFaults) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
