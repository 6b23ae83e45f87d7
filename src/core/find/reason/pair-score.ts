import { type Evidence, shownChance } from "../evidence/evidence.js";
import type { Timeline } from "../evidence/timeline.js";
import type { Fault } from "../faults/fault.js";
import { type Arising, presenceByEpoch, weighHistories } from "./history.js";
import type { JointRow, PairSettler } from "./pair-settler.js";
import type { ArisingOdds, SinglePosterior } from "./posterior.js";
import { type FaultSpace, healthHypothesis } from "./space.js";

/** Two faults together. */
export interface PairHypothesis {
  /** Hypothesis numbers, first below second. */
  readonly first: number;
  readonly second: number;
  /** Log of odds times likelihood, as for single hypotheses. */
  readonly logWeight: number;
  readonly presentFirst: number;
  readonly presentSecond: number;
}

/** A single fault that may be one of a pair. */
export interface Candidate {
  readonly hypothesis: number;
  readonly fault: Fault;
}

/** What scoring a pair needs besides the pair. */
export interface PairSetting {
  readonly space: FaultSpace;
  readonly timeline: Timeline;
  readonly singles: SinglePosterior;
  readonly arising: ArisingOdds;
  readonly settler: PairSettler;
}

const timeCode = { permanent: 0, "warm-only": 1, intermittent: 2 } as const;

/**
 * True if the pair can be combined from its single results: the faults cannot meet on the board, and no observation
 * depends on both (what a meter without power or a finger tells is no matter of nets).
 */
export function combines(setting: PairSetting, a: Candidate, b: Candidate): boolean {
  if (!setting.settler.apart(a.fault.effect, b.fault.effect)) return false;
  const touched = (item: Float64Array, { hypothesis }: Candidate): boolean =>
    item[hypothesis] !== item[healthHypothesis];
  return setting.singles.likelihoods.items.every((epoch) =>
    epoch.every((item) => !(touched(item, a) && touched(item, b))),
  );
}

/** By epoch the shares of neither, the first, the second and both faults being there, given the whole log. */
export function presenceOfPair(
  setting: PairSetting,
  one: Candidate,
  other: Candidate,
): readonly Float64Array[] {
  const ordered: readonly [Candidate, Candidate] =
    one.hypothesis < other.hypothesis ? [one, other] : [other, one];
  return presenceByEpoch(
    setting.timeline,
    ...historyArguments(setting, ordered),
    epochLikelihood(setting, ordered, combines(setting, one, other)),
  );
}

/** Weight of a pair over all histories of its two faults. */
export function scorePair(
  setting: PairSetting,
  one: Candidate,
  other: Candidate,
  combined: boolean,
): PairHypothesis {
  const ordered: readonly [Candidate, Candidate] =
    one.hypothesis < other.hypothesis ? [one, other] : [other, one];
  const weighed = weighHistories(
    setting.timeline,
    ...historyArguments(setting, ordered),
    epochLikelihood(setting, ordered, combined),
  );
  return {
    first: ordered[0].hypothesis,
    second: ordered[1].hypothesis,
    logWeight: weighed.logWeight,
    presentFirst: weighed.present[0] ?? 0,
    presentSecond: weighed.present[1] ?? 0,
  };
}

function historyArguments(
  { space, arising }: PairSetting,
  pair: readonly [Candidate, Candidate],
): [Fault[], number[], (readonly Arising[])[]] {
  return [
    pair.map(({ fault }) => fault),
    pair.map(({ hypothesis }) => space.odds[hypothesis] as number),
    pair.map(({ fault }) => arising(fault)),
  ];
}

/** Log likelihood of an epoch by which of the two faults are there (bit 0 the first). */
function epochLikelihood(
  setting: PairSetting,
  pair: readonly [Candidate, Candidate],
  combined: boolean,
): (epoch: number, present: number) => number {
  const { singles, settler } = setting;
  const [a, b] = pair;
  const rows = combined ? [] : settler.rows(a.fault.effect, b.fault.effect);
  return (epoch, present) => {
    const single = singles.likelihoods.epochs[epoch];
    if (present === 0) return single?.[healthHypothesis] ?? 0;
    if (present === 1) return single?.[a.hypothesis] ?? 0;
    if (present === 2) return single?.[b.hypothesis] ?? 0;
    return combined ? combineApart(singles, epoch, a, b) : scoreTogether(setting, epoch, pair, rows);
  };
}

/** Two faults that share nothing: each observation is touched by at most one of them, so their odds ratios multiply. */
function combineApart(singles: SinglePosterior, epoch: number, a: Candidate, b: Candidate): number {
  const logs = singles.likelihoods.epochs[epoch];
  return (logs?.[a.hypothesis] ?? 0) + (logs?.[b.hypothesis] ?? 0) - (logs?.[healthHypothesis] ?? 0);
}

/** Log likelihood of an epoch with both faults there: row by row, and in each row over which of the two shows. */
function scoreTogether(
  setting: PairSetting,
  epoch: number,
  pair: readonly [Candidate, Candidate],
  rows: readonly JointRow[],
): number {
  let most = Number.NEGATIVE_INFINITY;
  const logs = rows.map((row, r) => {
    let log = Math.log(row.share);
    for (const evidence of setting.timeline.epochs[epoch] ?? [])
      log += Math.log(pairLikelihood(setting.space, evidence, pair, row, { index: r, count: rows.length }));
    most = Math.max(most, log);
    return log;
  });
  let sum = 0;
  for (const log of logs) sum += Math.exp(log - most);
  return most + Math.log(sum);
}

/** Likelihood of one observation in one row of a pair. */
function pairLikelihood(
  space: FaultSpace,
  evidence: Evidence,
  [a, b]: readonly [Candidate, Candidate],
  row: JointRow,
  place: { readonly index: number; readonly count: number },
): number {
  const shows = (one: Candidate): number =>
    shownChance(timeCode[one.fault.manifestation], evidence.condition, space.model);
  const [showsA, showsB] = [shows(a), shows(b)];
  let sum = showsA * showsB * evidence.likelihoodOf(row.view, [a.fault, b.fault]);
  if (showsB < 1) sum += showsA * (1 - showsB) * aloneLikelihood(space, evidence, a, place);
  if (showsA < 1) sum += (1 - showsA) * showsB * aloneLikelihood(space, evidence, b, place);
  if (showsA < 1 && showsB < 1) sum += (1 - showsA) * (1 - showsB) * evidence.likelihoodOf(space.health, []);
  return sum;
}

/**
 * Likelihood with one of the two showing alone. If it crashes the processor as the pair does, the rows go together one
 * by one; else its rows are averaged.
 */
function aloneLikelihood(
  space: FaultSpace,
  evidence: Evidence,
  { hypothesis, fault }: Candidate,
  place: { readonly index: number; readonly count: number },
): number {
  const from = space.firstEntry[hypothesis] as number;
  const to = space.firstEntry[hypothesis + 1] as number;
  const of = (entry: number): number =>
    evidence.likelihoodOf(space.views[space.rowOf[entry] as number] ?? space.health, [fault]);
  if (to - from === place.count) return of(from + place.index);
  let sum = 0;
  for (let entry = from; entry < to; entry += 1)
    sum += Math.exp(space.logWeight[entry] as number) * of(entry);
  return sum;
}
