import type { Fault } from "../faults/fault.js";
import type { PairResult } from "./pairs.js";
import { logSum, type SinglePosterior } from "./posterior.js";
import { type FaultSpace, faultOfHypothesis, healthHypothesis, notInModelHypothesis } from "./space.js";

/** What is believed after the log: every hypothesis' share, and what follows for single faults as they are now. */
export interface Beliefs {
  /** [hypotheses] share of each single-fault hypothesis, health and not-in-model; with the pairs they sum to 1. */
  readonly single: Float64Array;
  /** Share of each pair, in the order of `PairResult.pairs`. */
  readonly pair: Float64Array;
  /** [hypotheses] chance that the fault is there now, pairs included. */
  readonly faultNow: Float64Array;
  readonly notInModel: number;
  /** Chance that no fault of the model is there (any more). */
  readonly nothingLeft: number;
  /** Natural logarithm of the probability of all observations. */
  readonly logEvidence: number;
}

/** Normalises single and pair weights into beliefs. */
export function formBeliefs(space: FaultSpace, singles: SinglePosterior, pairs: PairResult): Beliefs {
  const pairLogs = pairs.pairs.map((pair) => pair.logWeight);
  const total = logSum([...singles.logWeight, ...pairLogs]);
  const priorTotal = logSum([...space.odds].map(Math.log));
  const count = space.odds.length;
  const single = new Float64Array(count);
  const faultNow = new Float64Array(count);
  let nothingLeft = 0;
  for (let h = 0; h < count; h += 1) {
    const share = Math.exp((singles.logWeight[h] as number) - total);
    single[h] = share;
    if (h === healthHypothesis) nothingLeft += share;
    else if (h !== notInModelHypothesis) {
      faultNow[h] = share * (singles.present[h] as number);
      nothingLeft += share * (1 - (singles.present[h] as number));
    }
  }
  const pair = new Float64Array(pairLogs.length);
  for (const [i, one] of pairs.pairs.entries()) {
    const share = Math.exp(one.logWeight - total);
    pair[i] = share;
    faultNow[one.first] = (faultNow[one.first] as number) + share * one.presentFirst;
    faultNow[one.second] = (faultNow[one.second] as number) + share * one.presentSecond;
    nothingLeft += share * (1 - one.presentFirst) * (1 - one.presentSecond);
  }
  return {
    single,
    pair,
    faultNow,
    notInModel: single[notInModelHypothesis] as number,
    nothingLeft,
    logEvidence: total - priorTotal,
  };
}

/** One part with the chance that it, or its socket or joints, is at fault now. */
export interface PartBelief {
  readonly part: number;
  readonly probability: number;
  /** Its faults, likeliest first. */
  readonly faults: readonly {
    readonly fault: Fault;
    readonly hypothesis: number;
    readonly probability: number;
  }[];
}

/** Chance that each part is at fault, pairs counted once where both are in one part; sorted, likeliest first. */
export function beliefByPart(space: FaultSpace, pairs: PairResult, beliefs: Beliefs): PartBelief[] {
  const probability = new Map<number, number>();
  const faults = new Map<number, { fault: Fault; hypothesis: number; probability: number }[]>();
  for (let h = 0; h < space.odds.length; h += 1) {
    const fault = faultOfHypothesis(space, h);
    const now = beliefs.faultNow[h] as number;
    if (fault === undefined || now < 1e-9) continue;
    probability.set(fault.part, (probability.get(fault.part) ?? 0) + now);
    const list = faults.get(fault.part) ?? [];
    list.push({ fault, hypothesis: h, probability: now });
    faults.set(fault.part, list);
  }
  for (const [i, pair] of pairs.pairs.entries()) {
    const a = faultOfHypothesis(space, pair.first);
    const b = faultOfHypothesis(space, pair.second);
    if (a === undefined || b === undefined || a.part !== b.part) continue;
    const both = (beliefs.pair[i] as number) * pair.presentFirst * pair.presentSecond;
    probability.set(a.part, (probability.get(a.part) ?? 0) - both);
  }
  return [...probability]
    .map(([part, p]) => ({
      part,
      probability: p,
      faults: (faults.get(part) ?? []).sort((x, y) => y.probability - x.probability),
    }))
    .sort((x, y) => y.probability - x.probability || x.part - y.part);
}
