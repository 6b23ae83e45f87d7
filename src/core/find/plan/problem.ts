import type { Observable } from "../../inference/observable.js";
import { type Condition, shownChance } from "../evidence/evidence.js";
import type { Look } from "../evidence/look.js";
import type { Fault } from "../faults/fault.js";
import type { Beliefs } from "../reason/beliefs.js";
import type { PairSettler } from "../reason/pair-settler.js";
import type { PairResult } from "../reason/pairs.js";
import type { SinglePosterior } from "../reason/posterior.js";
import { type FaultSpace, faultOfHypothesis, notInModelHypothesis, type RowView } from "../reason/space.js";

/** One thing that may now be wrong with the machine, as the planner sees it. */
export interface LiveHypothesis {
  /** Empty for "not in this model". */
  readonly faults: readonly Fault[];
  readonly view: RowView;
  readonly weight: number;
  readonly known: boolean;
  /** When its faults show: 0 always, 1 only warm, 2 now and then, 3 unknown. */
  readonly time: number;
}

/**
 * What may be wrong now, likeliest first: single faults still there (one entry for each row of a crash), pairs still
 * there, and "not in this model". Cut where the rest weighs less than `neglected`, and at `limit` entries.
 * Weights sum to 1.
 */
export function liveHypotheses(
  space: FaultSpace,
  singles: SinglePosterior,
  pairs: PairResult,
  beliefs: Beliefs,
  settler: PairSettler,
  limits: { readonly limit: number; readonly neglected: number },
): LiveHypothesis[] {
  const live: LiveHypothesis[] = [];
  const entryLogs = singles.likelihoods.lastEntries;
  const addFault = (hypothesis: number, weight: number): void => {
    const fault = faultOfHypothesis(space, hypothesis);
    if (fault === undefined || weight < 1e-7) return;
    const from = space.firstEntry[hypothesis] as number;
    const to = space.firstEntry[hypothesis + 1] as number;
    let most = Number.NEGATIVE_INFINITY;
    for (let e = from; e < to; e += 1) most = Math.max(most, entryLogs[e] as number);
    let sum = 0;
    for (let e = from; e < to; e += 1) sum += Math.exp((entryLogs[e] as number) - most);
    for (let e = from; e < to; e += 1) {
      const share = Math.exp((entryLogs[e] as number) - most) / sum;
      const view = space.views[space.rowOf[e] as number] ?? space.health;
      live.push({ faults: [fault], view, weight: weight * share, known: true, time: timeOf([fault]) });
    }
  };
  const alone = beliefs.single.map((share, h) => share * (singles.present[h] as number));
  for (const [i, pair] of pairs.pairs.entries()) {
    const share = beliefs.pair[i] as number;
    const both = share * pair.presentFirst * pair.presentSecond;
    alone[pair.first] = (alone[pair.first] as number) + share * pair.presentFirst * (1 - pair.presentSecond);
    alone[pair.second] =
      (alone[pair.second] as number) + share * pair.presentSecond * (1 - pair.presentFirst);
    if (both < 1e-5) continue;
    const a = faultOfHypothesis(space, pair.first);
    const b = faultOfHypothesis(space, pair.second);
    if (a === undefined || b === undefined) continue;
    for (const row of settler.rows(a.effect, b.effect)) {
      const faults = [a, b];
      live.push({ faults, view: row.view, weight: both * row.share, known: true, time: timeOf(faults) });
    }
  }
  settler.release();
  for (let h = 0; h < alone.length; h += 1) if (h > notInModelHypothesis) addFault(h, alone[h] as number);
  live.sort((x, y) => y.weight - x.weight);
  const unknown = beliefs.notInModel;
  const total = live.reduce((sum, one) => sum + one.weight, 0) + unknown;
  const kept: LiveHypothesis[] = [];
  let mass = 0;
  for (const one of live) {
    if (kept.length >= limits.limit || mass >= (total - unknown) * (1 - limits.neglected)) break;
    kept.push(one);
    mass += one.weight;
  }
  kept.push({
    faults: [],
    view: space.health,
    weight: Math.max(unknown, 1e-6),
    known: false,
    time: unknownTime,
  });
  const sum = kept.reduce((s, one) => s + one.weight, 0);
  return kept.map((one) => ({ ...one, weight: one.weight / sum }));
}

// Codes are bytes; what the likelihood table holds beyond this many kinds is rare enough to count as unseen.
const mostCodes = 255;

/**
 * Forecast of a look over the live hypotheses. What a fault predicts comes in three kinds, for faults that always
 * show, that show only warm and that come and go, as they will show in the condition the reading is taken in; the
 * unknown fault has a row of its own, half of it even.
 */
export function forecast(
  space: FaultSpace,
  live: readonly LiveHypothesis[],
  look: Look,
  condition: Condition = "unknown",
): Observable {
  const { outcomes, likelihood } = look;
  const outcomeCount = outcomes.length;
  const healthyCode = look.codeOf(space.health, []);
  const rowOf = new Int16Array(look.codeCount * timeCount).fill(-1);
  const rows: { readonly code: number; readonly time: number }[] = [];
  const codes = new Uint8Array(live.length);
  for (const [i, one] of live.entries()) {
    const code = one.known ? look.codeOf(one.view, one.faults) : healthyCode;
    const key = code * timeCount + one.time;
    let row = rowOf[key] as number;
    if (row < 0) {
      row = rows.length < mostCodes ? rows.length : 0;
      if (row === rows.length) rows.push({ code, time: one.time });
      rowOf[key] = row;
    }
    codes[i] = row;
  }
  const table = new Float64Array(rows.length * outcomeCount);
  for (const [r, { code, time }] of rows.entries()) {
    const chance = time === unknownTime ? 0 : shownChance(time, condition, space.model);
    for (let o = 0; o < outcomeCount; o += 1) {
      const own = likelihood[code * outcomeCount + o] as number;
      const healthy = likelihood[healthyCode * outcomeCount + o] as number;
      table[r * outcomeCount + o] =
        time === unknownTime ? 0.5 / outcomeCount + 0.5 * healthy : chance * own + (1 - chance) * healthy;
    }
  }
  return { codes, codeCount: rows.length, outcomeCount, likelihood: table };
}

const unknownTime = 3;
const timeCount = 4;

function timeOf(faults: readonly Fault[]): number {
  if (faults.some((fault) => fault.manifestation === "permanent")) return 0;
  return faults[0]?.manifestation === "warm-only" ? 1 : 2;
}

/** True if the forecast is the same for all hypotheses: such a look tells nothing. */
export function tellsNothing(observable: Observable): boolean {
  const first = observable.codes[0];
  for (let i = 1; i < observable.codes.length - 1; i += 1) if (observable.codes[i] !== first) return false;
  return true;
}
