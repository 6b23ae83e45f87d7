import type { RemainingCost } from "./remaining-cost.js";

/** What the forecast is made from. */
export interface ForecastTerms {
  /** Cost of stopping to test and repairing in order. */
  readonly repairing: RemainingCost;
  /** [classes]: minutes from knowing all that tests can tell, in this class, to a working machine. */
  readonly knownCost: Float64Array;
  /** [classes]: bits about the class that no test can give, as a mean over its hypotheses. */
  readonly hiddenBits: Float64Array;
  /** [classes]: minutes of the repair that ends the class and the probability that it does; 0 where it takes several. */
  readonly repairCost: Float64Array;
  readonly repairSuccess: Float64Array;
  /** [classes]: the class of what that repair did not end. */
  readonly failedClass: Int32Array;
  /** Minutes that a bit is expected to take. */
  readonly minutesPerBit: number;
  /** Cheapest repair and giving up, in minutes: from them follows when repairing in order need not be looked at. */
  readonly cheapestRepair: number;
  readonly giveUp: number;
}

/**
 * The lesser of repairing in order without further tests and a forecast of going on testing: the bits still missing about
 * the class at `minutesPerBit`, then the repair. The forecast makes wide-open states comparable, where repairing blindly
 * would cost far more than anybody pays. It is an estimate, not a bound.
 */
export function createForecastCost(terms: ForecastTerms): RemainingCost {
  const { repairing, minutesPerBit, cheapestRepair, giveUp } = terms;
  const perMass = terms.knownCost.map((cost, id) => cost - minutesPerBit * (terms.hiddenBits[id] ?? 0));
  const float = new Float32Array(1);
  const bits = new Int32Array(float.buffer);
  const fractionLog = Float64Array.from({ length: tableSize }, (_, i) =>
    Math.log2(1 + (i + 0.5) / tableSize),
  );

  const of = (classes: Int32Array, masses: Float64Array, count: number): number => {
    let mass = 0;
    let known = 0;
    let negativeEntropy = 0;
    for (let k = 0; k < count; k += 1) {
      const p = masses[k] ?? 0;
      mass += p;
      known += p * (perMass[classes[k] ?? 0] ?? 0);
      // Logarithm from the float's exponent and a table: a thousandth of a bit is exact enough for a forecast.
      float[0] = p;
      const pattern = bits[0] ?? 0;
      const log =
        (pattern >>> 23) - 127 + (fractionLog[(pattern >>> (23 - tableBits)) & (tableSize - 1)] ?? 0);
      negativeEntropy += p * log;
    }
    if (mass <= 0) return 0;
    const missingBits = Math.max(0, mass * Math.log2(mass) - negativeEntropy);
    const forecast = known + missingBits * minutesPerBit;
    // Guessing something with H bits takes at least 2^(H-2) + 1 guesses (Massey 1994); each costs a repair.
    const guesses = 2 ** (missingBits / mass - 2) + 1;
    if (missingBits > 2 * mass && forecast <= mass * Math.min(giveUp, guesses * cheapestRepair))
      return forecast;
    return Math.min(forecast, repairing.of(classes, masses, count));
  };

  // Not testing now is either repairing to the end, or doing the likeliest repair and going on as forecast.
  const after = new Float64Array(terms.knownCost.length);
  const classesAfter = new Int32Array(terms.knownCost.length);
  const stopping = (classes: Int32Array, masses: Float64Array, count: number): number => {
    let mass = 0;
    let first = -1;
    let bestRatio = 0;
    for (let k = 0; k < count; k += 1) {
      const p = masses[k] ?? 0;
      const id = classes[k] ?? 0;
      mass += p;
      after[k] = p;
      classesAfter[k] = id;
      const ratio = (p * (terms.repairSuccess[id] ?? 0)) / (terms.repairCost[id] ?? 1);
      if (ratio > bestRatio) {
        bestRatio = ratio;
        first = k;
      }
    }
    const inOrder = repairing.of(classes, masses, count);
    if (first < 0) return inOrder;
    const id = classes[first] ?? 0;
    after[first] = (masses[first] ?? 0) * (1 - (terms.repairSuccess[id] ?? 0));
    classesAfter[first] = terms.failedClass[id] ?? id;
    return Math.min(inOrder, (terms.repairCost[id] ?? 0) * mass + of(classesAfter, after, count));
  };

  return { of, stopping };
}

const tableBits = 10;
const tableSize = 2 ** tableBits;
