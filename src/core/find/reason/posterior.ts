import type { Timeline } from "../evidence/timeline.js";
import type { Fault } from "../faults/fault.js";
import { type Arising, weighHistories } from "./history.js";
import { type EpochLikelihoods, type EvidenceMemory, scoreEpochs } from "./likelihoods.js";
import { type FaultSpace, faultOfHypothesis, healthHypothesis } from "./space.js";

/** How likely a dated happening is to have made a fault, as odds; 0 for most. */
export type ArisingOdds = (fault: Fault) => readonly Arising[];

/** Weights of all single-fault hypotheses after the log; unnormalised, natural logarithms. */
export interface SinglePosterior {
  readonly likelihoods: EpochLikelihoods;
  /** [hypotheses] log of prior odds times likelihood, summed over the histories the fault can have had. */
  readonly logWeight: Float64Array;
  /** [hypotheses] chance that the fault, if it ever was, is still there. */
  readonly present: Float64Array;
}

/** Scores all single faults, health and "not in this model" against the log. */
export function scoreSingles(
  space: FaultSpace,
  timeline: Timeline,
  arising: ArisingOdds,
  memory: EvidenceMemory,
): SinglePosterior {
  const likelihoods = scoreEpochs(space, timeline, memory);
  const count = space.odds.length;
  const logWeight = new Float64Array(count);
  const present = new Float64Array(count).fill(1);
  const plain = timeline.boundaries.length === 0;
  const total = (hypothesis: number): number => {
    let sum = 0;
    for (const epoch of likelihoods.epochs) sum += epoch[hypothesis] as number;
    return sum;
  };
  for (let h = 0; h < count; h += 1) {
    const fault = faultOfHypothesis(space, h);
    const odds = space.odds[h] as number;
    if (plain || fault === undefined) {
      logWeight[h] = Math.log(odds) + total(h);
      continue;
    }
    const weighed = weighHistories(timeline, [fault], [odds], [arising(fault)], (epoch, there) => {
      const row = likelihoods.epochs[epoch];
      return (row?.[there === 0 ? healthHypothesis : h] as number) ?? 0;
    });
    logWeight[h] = weighed.logWeight;
    present[h] = weighed.present[0] ?? 0;
  }
  return { likelihoods, logWeight, present };
}

/** Log of a sum of exponentials, safe for large and small values. */
export function logSum(values: Iterable<number>): number {
  const list = [...values];
  let most = Number.NEGATIVE_INFINITY;
  for (const value of list) most = Math.max(most, value);
  if (most === Number.NEGATIVE_INFINITY) return most;
  let sum = 0;
  for (const value of list) sum += Math.exp(value - most);
  return most + Math.log(sum);
}
