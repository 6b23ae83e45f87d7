import type { Timeline } from "../evidence/timeline.js";
import { type Candidate, combines, type PairHypothesis, type PairSetting, scorePair } from "./pair-score.js";
import type { PairSettler } from "./pair-settler.js";
import { type ArisingOdds, logSum, type SinglePosterior } from "./posterior.js";
import { type FaultSpace, faultOfHypothesis, healthHypothesis } from "./space.js";

/** The pairs of faults that were looked at. */
export interface PairResult {
  readonly pairs: readonly PairHypothesis[];
  /** Pairs that can meet, settled together. */
  readonly settledTogether: number;
  /** Pairs combined exactly from their single results, because they share nothing. */
  readonly combined: number;
  /** Bound of the weight of the pairs of candidates that were not looked at, as a share of all single weight. */
  readonly leftOut: number;
}

/** How much work pairs may be. */
export interface PairLimits {
  /** How many single faults may take part. */
  readonly candidates: number;
  /** How many pairs may be settled together at most. */
  readonly settle: number;
}

// A pair whose bound is below e^-9 of all single weight (about 1 in 8000) is counted as left out, not looked at.
const negligible = 9;

/**
 * Scores pairs of faults, best bound first. The bound takes for each observation the best that either fault or health
 * makes of it, so it holds for every pair that does not show anything that neither of its faults shows alone; see
 * docs/formulas/evidence.md. Pairs are looked at in that order until the limits are reached or what is left cannot
 * matter, and the bound of what was not looked at is reported.
 */
export function scorePairs(
  space: FaultSpace,
  timeline: Timeline,
  singles: SinglePosterior,
  arising: ArisingOdds,
  settler: PairSettler,
  limits: PairLimits,
): PairResult {
  const setting: PairSetting = { space, timeline, singles, arising, settler };
  const candidates = chooseCandidates(space, singles, limits.candidates);
  const boundOf = pairBound(setting);
  const bounds: { readonly a: Candidate; readonly b: Candidate; readonly bound: number }[] = [];
  for (const [i, a] of candidates.entries())
    for (const b of candidates.slice(i + 1)) bounds.push({ a, b, bound: boundOf(a, b) });
  bounds.sort((x, y) => y.bound - x.bound);
  const total = logSum(singles.logWeight);
  const pairs: PairHypothesis[] = [];
  let settledTogether = 0;
  let combined = 0;
  let leftOut = 0;
  for (const { a, b, bound } of bounds) {
    const likely = bound >= total - negligible;
    const apart = likely && combines(setting, a, b);
    if (!likely || (!apart && settledTogether >= limits.settle)) {
      leftOut += Math.exp(bound - total);
      continue;
    }
    if (apart) combined += 1;
    else settledTogether += 1;
    pairs.push(scorePair(setting, a, b, apart));
  }
  settler.release();
  return { pairs, settledTogether, combined, leftOut };
}

/**
 * Log bound of a pair's weight: the odds of both, made early or late, times for each observation the best of what each
 * fault and health make of it. Where a fault has several rows (a crashed processor), the best of them all along.
 */
function pairBound(setting: PairSetting): (a: Candidate, b: Candidate) => number {
  const { space, singles, arising } = setting;
  const items = singles.likelihoods.entryItems.flat();
  const logOdds = ({ hypothesis, fault }: Candidate): number =>
    Math.log(arising(fault).reduce((sum, one) => sum + one.odds, space.odds[hypothesis] as number));
  const entriesOf = ({ hypothesis }: Candidate): readonly [number, number] => [
    space.firstEntry[hypothesis] as number,
    space.firstEntry[hypothesis + 1] as number,
  ];
  return (a, b) => {
    const [fromA, toA] = entriesOf(a);
    const [fromB, toB] = entriesOf(b);
    let best = Number.NEGATIVE_INFINITY;
    for (let x = fromA; x < toA; x += 1) {
      for (let y = fromB; y < toB; y += 1) {
        let sum = 0;
        // Entry 0 is health.
        for (const item of items)
          sum += Math.max(item[x] as number, item[y] as number, item[healthHypothesis] as number);
        best = Math.max(best, sum);
      }
    }
    return logOdds(a) + logOdds(b) + best;
  };
}
/** The likeliest single faults, and for each observation those that explain it best: one of a pair may explain only little. */
function chooseCandidates(space: FaultSpace, singles: SinglePosterior, limit: number): Candidate[] {
  const order = Array.from(singles.logWeight.keys()).filter((h) => faultOfHypothesis(space, h) !== undefined);
  order.sort((a, b) => (singles.logWeight[b] as number) - (singles.logWeight[a] as number));
  const seen = new Set<string>();
  const chosen: Candidate[] = [];
  const take = (hypothesis: number): void => {
    const fault = faultOfHypothesis(space, hypothesis);
    if (fault === undefined) return;
    // One of many faults with the same effect and signs stands for all of them as far as finding a pair goes.
    const key = `${fault.effect}/${fault.part}/${fault.site}/${fault.manifestation}`;
    if (seen.has(key)) return;
    seen.add(key);
    chosen.push({ hypothesis, fault });
  };
  for (const hypothesis of order) {
    if (chosen.length >= limit * 0.6) break;
    take(hypothesis);
  }
  const items = singles.likelihoods.items.flat();
  const perItem = Math.max(2, Math.ceil((limit * 0.4) / Math.max(1, items.length)));
  for (const item of items) {
    const gain = order
      .filter((h) => (item[h] as number) > (item[healthHypothesis] as number) + 0.7)
      .map((h) => ({ h, score: (item[h] as number) + Math.log(space.odds[h] as number) }))
      .sort((x, y) => y.score - x.score);
    for (const { h } of gain.slice(0, perItem)) take(h);
  }
  return chosen;
}
