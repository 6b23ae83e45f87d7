import { type Evidence, shownChance } from "../evidence/evidence.js";
import type { Timeline } from "../evidence/timeline.js";
import { type FaultSpace, healthHypothesis, notInModelHypothesis } from "./space.js";

/** Log likelihoods of what was seen, by epoch and hypothesis. */
export interface EpochLikelihoods {
  /** By epoch: log likelihood of its evidence [hypotheses] if the hypothesis' fault is there throughout the epoch. */
  readonly epochs: readonly Float64Array[];
  /** By epoch, by evidence: log likelihood [hypotheses], rows of a crash averaged out. For ranking and explanation. */
  readonly items: readonly (readonly Float64Array[])[];
  /** The same by entry [entries]: each row of a crash by itself. Entry 0 is health. */
  readonly entryItems: readonly (readonly Float64Array[])[];
  /** Last epoch: log weight of each entry after its evidence [entries]; says how a crash now stands among its rows. */
  readonly lastEntries: Float64Array;
}

/** Likelihoods of one observation: by entry of the space, and by hypothesis with the rows of a crash averaged. */
export interface ScoredEvidence {
  readonly byEntry: Float64Array;
  readonly byHypothesis: Float64Array;
}

/** Remembers the likelihoods of observations, by their key, for one space. */
export type EvidenceMemory = Map<string, ScoredEvidence>;

// Beyond this many observations the oldest are forgotten; a log rarely has more.
const remembered = 400;

/**
 * Scores every hypothesis against every epoch. Within an epoch the rows of a crashed processor are scored jointly:
 * the evidence is multiplied row by row and only then averaged. O(entries × evidence), less what is remembered.
 */
export function scoreEpochs(space: FaultSpace, timeline: Timeline, memory: EvidenceMemory): EpochLikelihoods {
  const epochs: Float64Array[] = [];
  const items: Float64Array[][] = [];
  const entryItems: Float64Array[][] = [];
  let lastEntries = space.logWeight;
  for (const evidenceList of timeline.epochs) {
    const joint = space.logWeight.slice();
    const ofEpoch: Float64Array[] = [];
    const byEntry: Float64Array[] = [];
    for (const evidence of evidenceList) {
      const scored = recall(space, evidence, memory);
      for (let entry = 0; entry < joint.length; entry += 1)
        joint[entry] = (joint[entry] as number) + (scored.byEntry[entry] as number);
      ofEpoch.push(scored.byHypothesis);
      byEntry.push(scored.byEntry);
    }
    lastEntries = joint;
    epochs.push(sumEntries(space, joint));
    items.push(ofEpoch);
    entryItems.push(byEntry);
  }
  return { epochs, items, entryItems, lastEntries };
}

function recall(space: FaultSpace, evidence: Evidence, memory: EvidenceMemory): ScoredEvidence {
  const known = memory.get(evidence.key);
  if (known !== undefined) return known;
  const scored = scoreOne(space, evidence);
  if (memory.size >= remembered) {
    const oldest = memory.keys().next();
    if (oldest.done !== true) memory.delete(oldest.value);
  }
  memory.set(evidence.key, scored);
  return scored;
}

function scoreOne(space: FaultSpace, evidence: Evidence): ScoredEvidence {
  const entryCount = space.rowOf.length;
  const byEntry = new Float64Array(entryCount);
  const healthy = evidence.likelihoodOf(space.health, []);
  const shown = [0, 1, 2].map((time) => shownChance(time, evidence.condition, space.model));
  const logHealthy = Math.log(healthy);
  for (let entry = 0; entry < entryCount; entry += 1) {
    const hypothesis = space.hypothesisOf[entry] as number;
    if (hypothesis === notInModelHypothesis) byEntry[entry] = Math.log(evidence.notInModel);
    else if (hypothesis === healthHypothesis) byEntry[entry] = logHealthy;
    else {
      const view = space.views[space.rowOf[entry] as number] ?? space.health;
      const own = evidence.likelihoodOf(view, space.faultLists[hypothesis] ?? []);
      if (own === healthy) {
        byEntry[entry] = logHealthy;
        continue;
      }
      const chance = shown[space.timeOf[entry] as number] ?? 1;
      byEntry[entry] = Math.log(chance * own + (1 - chance) * healthy);
    }
  }
  const weighted = byEntry.map((value, i) => value + (space.logWeight[i] as number));
  return { byEntry, byHypothesis: sumEntries(space, weighted) };
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
