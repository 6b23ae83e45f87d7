import type { FaultFamily } from "./fault-family.js";

/** A job of this bench that ended in a working machine, in terms of families. */
export interface ClosedJob {
  /** Faults the model expected of each family before the job: expected faults × the family's share of the board. */
  readonly expected: ReadonlyMap<FaultFamily, number>;
  /** Faults found, by family. */
  readonly found: ReadonlyMap<FaultFamily, number>;
}

/** How the bench's own jobs correct the model for one family. */
export interface HistoryFactor {
  readonly family: FaultFamily;
  /** Faults expected over all jobs. */
  readonly expected: number;
  /** Faults found over all jobs. */
  readonly found: number;
  /** Mean of the Gamma posterior: what the family's rate is multiplied by. */
  readonly value: number;
  /** Standard deviation of the posterior. */
  readonly deviation: number;
}

/**
 * Conjugate update of each family's factor. The factor has a Gamma prior with shape and rate `strength` (mean 1);
 * the number of faults found is Poisson with mean factor × expected; the posterior is Gamma with shape
 * strength + found and rate strength + expected. A family that no job expected is left out.
 *
 * @param strength faults at the predicted rate that the model counts as, positive
 * @throws RangeError if strength is not positive or a number of a job is negative
 */
export function updateByHistory(
  jobs: readonly ClosedJob[],
  strength: number,
): Map<FaultFamily, HistoryFactor> {
  if (!(strength > 0 && Number.isFinite(strength))) {
    throw new RangeError(`strength must be positive, got ${strength}`);
  }
  const expected = sumByFamily(jobs.map((job) => job.expected));
  const found = sumByFamily(jobs.map((job) => job.found));
  const factors = new Map<FaultFamily, HistoryFactor>();
  for (const family of new Set([...expected.keys(), ...found.keys()])) {
    const e = expected.get(family) ?? 0;
    const f = found.get(family) ?? 0;
    if (e === 0 && f === 0) continue;
    const value = (strength + f) / (strength + e);
    const deviation = Math.sqrt(strength + f) / (strength + e);
    factors.set(family, { family, expected: e, found: f, value, deviation });
  }
  return factors;
}

function sumByFamily(maps: ReadonlyArray<ReadonlyMap<FaultFamily, number>>): Map<FaultFamily, number> {
  const sums = new Map<FaultFamily, number>();
  for (const map of maps) {
    for (const [family, count] of map) {
      if (!(count >= 0 && Number.isFinite(count))) {
        throw new RangeError(`number of faults of ${family} must be 0 or more, got ${count}`);
      }
      sums.set(family, (sums.get(family) ?? 0) + count);
    }
  }
  return sums;
}
