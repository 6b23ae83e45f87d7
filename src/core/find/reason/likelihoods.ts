import { shownChance } from "../evidence/evidence.js";
import type { Timeline } from "../evidence/timeline.js";
import type { Fault } from "../faults/fault.js";
import { type FaultSpace, faultOfHypothesis, healthHypothesis, notInModelHypothesis } from "./space.js";

/** Log likelihoods of what was seen, by epoch and hypothesis. */
export interface EpochLikelihoods {
  /** By epoch: log likelihood of its evidence [hypotheses] if the hypothesis' fault is there throughout the epoch. */
  readonly epochs: readonly Float64Array[];
  /** By epoch, by evidence: log likelihood [hypotheses], rows of a crash averaged out. For ranking and explanation. */
  readonly items: readonly (readonly Float64Array[])[];
  /** Last epoch: log weight of each entry after its evidence [entries]; says how a crash now stands among its rows. */
  readonly lastEntries: Float64Array;
}

/**
 * Scores every hypothesis against every epoch. Within an epoch the rows of a crashed processor are scored jointly:
 * the evidence is multiplied row by row and only then averaged. O(entries × evidence).
 */
export function scoreEpochs(space: FaultSpace, timeline: Timeline): EpochLikelihoods {
  const hypothesisCount = space.odds.length;
  const entryCount = space.rowOf.length;
  const faultLists: (readonly Fault[])[] = Array.from({ length: hypothesisCount }, (_, h) => {
    const fault = faultOfHypothesis(space, h);
    return fault === undefined ? [] : [fault];
  });
  const epochs: Float64Array[] = [];
  const items: Float64Array[][] = [];
  let lastEntries = space.logWeight;
  for (const evidenceList of timeline.epochs) {
    const joint = space.logWeight.slice();
    const ofEpoch: Float64Array[] = [];
    for (const evidence of evidenceList) {
      const single = new Float64Array(entryCount);
      const healthy = evidence.likelihoodOf(space.health, []);
      const shown = [0, 1, 2].map((time) => shownChance(time, evidence.condition, space.model));
      for (let entry = 0; entry < entryCount; entry += 1) {
        const hypothesis = space.hypothesisOf[entry] as number;
        let likelihood: number;
        if (hypothesis === notInModelHypothesis) likelihood = evidence.notInModel;
        else if (hypothesis === healthHypothesis) likelihood = healthy;
        else {
          const view = space.views[space.rowOf[entry] as number] ?? space.health;
          const own = evidence.likelihoodOf(view, faultLists[hypothesis] ?? []);
          const chance = shown[space.timeOf[entry] as number] ?? 1;
          likelihood = chance * own + (1 - chance) * healthy;
        }
        const log = Math.log(likelihood);
        single[entry] = log;
        joint[entry] = (joint[entry] as number) + log;
      }
      ofEpoch.push(meltEntries(space, single, space.logWeight));
    }
    lastEntries = joint;
    epochs.push(sumEntries(space, joint));
    items.push(ofEpoch);
  }
  return { epochs, items, lastEntries };
}

/** Log of the sum over each hypothesis' entries of exp(values). */
function sumEntries(space: FaultSpace, values: Float64Array): Float64Array {
  const count = space.odds.length;
  const result = new Float64Array(count);
  for (let h = 0; h < count; h += 1) {
    const from = space.firstEntry[h] as number;
    const to = space.firstEntry[h + 1] as number;
    if (to - from === 1) {
      result[h] = values[from] as number;
      continue;
    }
    let most = Number.NEGATIVE_INFINITY;
    for (let i = from; i < to; i += 1) most = Math.max(most, values[i] as number);
    let sum = 0;
    for (let i = from; i < to; i += 1) sum += Math.exp((values[i] as number) - most);
    result[h] = most + Math.log(sum);
  }
  return result;
}

function meltEntries(space: FaultSpace, values: Float64Array, weights: Float64Array): Float64Array {
  const weighted = values.map((value, i) => value + (weights[i] as number));
  return sumEntries(space, weighted);
}
