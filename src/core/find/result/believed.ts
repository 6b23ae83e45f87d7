import { presenceByEpoch } from "../reason/history.js";
import { type PairSetting, presenceOfPair } from "../reason/pair-score.js";
import type { PairSettler } from "../reason/pair-settler.js";
import { faultOfHypothesis, healthHypothesis } from "../reason/space.js";
import type { SolvedCase } from "../solve.js";

/** One hypothesis after the log: which parts are or were at fault, how likely it is, who was there when. */
export interface Believed {
  /** Empty for health and "not in this model". */
  readonly parts: readonly number[];
  readonly weight: number;
  /** Hypotheses of its faults; for health and "not in this model" itself. */
  readonly hypotheses: readonly number[];
  /** By epoch the share of each bit set of its faults being there; absent if all of them always are. */
  readonly presence?: readonly Float64Array[];
}

// Below these weights a hypothesis explains nothing that anyone would read; its faults count as always there.
const singleWorthPresence = 1e-6;
const pairWorthListing = 1e-4;

/** All hypotheses with any weight: single faults, health, "not in this model", pairs. */
export function listBelieved(solved: SolvedCase, settler: PairSettler): Believed[] {
  const { space, timeline, singles, pairs, beliefs, arising } = solved;
  const changed = timeline.boundaries.length > 0;
  const list: Believed[] = [];
  for (let h = 0; h < beliefs.single.length; h += 1) {
    const weight = beliefs.single[h] as number;
    if (weight < 1e-12) continue;
    const fault = faultOfHypothesis(space, h);
    if (fault === undefined || !changed || weight < singleWorthPresence) {
      list.push({ parts: fault === undefined ? [] : [fault.part], weight, hypotheses: [h] });
      continue;
    }
    const presence = presenceByEpoch(
      timeline,
      [fault],
      [space.odds[h] as number],
      [arising(fault)],
      (epoch, there) => singles.likelihoods.epochs[epoch]?.[there === 0 ? healthHypothesis : h] ?? 0,
    );
    list.push({ parts: [fault.part], weight, hypotheses: [h], presence });
  }
  const setting: PairSetting = { space, timeline, singles, arising, settler };
  for (const [i, pair] of pairs.pairs.entries()) {
    const weight = beliefs.pair[i] as number;
    const first = faultOfHypothesis(space, pair.first);
    const second = faultOfHypothesis(space, pair.second);
    if (weight < pairWorthListing || first === undefined || second === undefined) continue;
    const [a, b] = [
      { hypothesis: pair.first, fault: first },
      { hypothesis: pair.second, fault: second },
    ];
    list.push({
      parts: [first.part, second.part],
      weight,
      hypotheses: [pair.first, pair.second],
      ...(changed ? { presence: presenceOfPair(setting, a, b) } : {}),
    });
  }
  settler.release();
  return list;
}
