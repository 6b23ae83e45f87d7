import { shownChance } from "../evidence/evidence.js";
import type { Timeline } from "../evidence/timeline.js";
import type { Fault } from "../faults/fault.js";
import { unionOverPhases } from "../settle/value.js";
import { machineObservables } from "../table/chain.js";
import { EffectSettler, writeView } from "../table/effect-table.js";
import { weighHistories } from "./history.js";
import { type ArisingOdds, logSum, type SinglePosterior } from "./posterior.js";
import { type FaultSpace, faultOfHypothesis, healthHypothesis, type RowView } from "./space.js";

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

export interface PairResult {
  readonly pairs: readonly PairHypothesis[];
  /** Pairs whose cones meet, settled together. */
  readonly settledTogether: number;
  /** Pairs combined exactly from their single results, their cones sharing nothing. */
  readonly combined: number;
  /** Upper bound of the weight of the pairs not looked at, as a share of all weight. */
  readonly leftOut: number;
}

export interface PairLimits {
  /** How many single faults may take part. */
  readonly candidates: number;
  /** How many pairs may be settled together at most. */
  readonly settle: number;
}

/** A row settled for two effects together, with its share. */
interface JointRow {
  readonly view: RowView;
  readonly share: number;
}

/**
 * Settles pairs of effects together and remembers them, so that a pair is settled once however long the log grows.
 */
export class PairSettler {
  private readonly space: FaultSpace;
  private readonly settler: EffectSettler;
  private readonly known = new Map<number, readonly JointRow[]>();
  private readonly cones: (Uint32Array | undefined)[];
  /** Pairs settled so far, over all calls. */
  settled = 0;

  constructor(space: FaultSpace) {
    this.space = space;
    this.settler = new EffectSettler(space.circuit, space.model);
    this.cones = space.effects.map(() => undefined);
  }

  /** True if the two effects change no net in common and no machine state: then they combine exactly. */
  disjoint(first: number, second: number): boolean {
    const a = this.cone(first);
    const b = this.cone(second);
    for (let i = 0; i < a.length; i += 1) if (((a[i] as number) & (b[i] as number)) !== 0) return false;
    return true;
  }

  /** Rows of the two effects acting together. */
  rows(first: number, second: number): readonly JointRow[] {
    const key = first * this.space.effects.length + second;
    const known = this.known.get(key);
    if (known !== undefined) return known;
    const { circuit, effects } = this.space;
    const changes = [...(effects[first]?.changes ?? []), ...(effects[second]?.changes ?? [])];
    const netCount = circuit.wiring.nets.length;
    const rows: JointRow[] = [];
    for (const [state, share] of this.settler.statesOf({ changes })) {
      const nets = this.settler.baselineNets(state).slice();
      const machine = new Uint8Array(machineObservables.length);
      this.settler.settleUnder({ changes }, state, (changed, view) => {
        const { engine } = circuit;
        for (const net of changed)
          nets[net] = unionOverPhases(engine.values, net * engine.phaseCount, engine.phaseCount);
        writeView(machine, 0, view());
      });
      rows.push({ view: { nets, netBase: 0, machine, machineBase: 0 }, share });
    }
    this.settled += 1;
    this.known.set(key, rows);
    if (netCount * this.known.size > 64_000_000) this.known.clear();
    return rows;
  }

  /** Leaves the circuit's engine on the healthy board. */
  release(): void {
    this.settler.release();
  }

  /** Nets and machine states an effect changes in any of its rows, as a bit set. */
  private cone(effect: number): Uint32Array {
    const known = this.cones[effect];
    if (known !== undefined) return known;
    const { table, health, views } = this.space;
    const bits = new Uint32Array(Math.ceil((table.netCount + machineObservables.length) / 32));
    for (let row = table.firstRow[effect] as number; row < (table.firstRow[effect + 1] as number); row += 1) {
      const view = views[row] ?? health;
      for (let i = 0; i < table.netCount + machineObservables.length; i += 1) {
        const net = i < table.netCount;
        const own = net ? view.nets[view.netBase + i] : view.machine[view.machineBase + i - table.netCount];
        const healthy = net
          ? health.nets[health.netBase + i]
          : health.machine[health.machineBase + i - table.netCount];
        if (own !== healthy) bits[i >> 5] = (bits[i >> 5] as number) | (1 << (i & 31));
      }
    }
    this.cones[effect] = bits;
    return bits;
  }
}

// A pair whose bound is below e^-9 of all single weight (about 1 in 8000) is counted as left out, not looked at.
const negligible = 9;

interface Candidate {
  readonly hypothesis: number;
  readonly fault: Fault;
}

/**
 * Scores pairs of faults, best bound first. A pair's bound takes for each observation the better of its two single
 * likelihoods; pairs are looked at in that order until the limits are reached or what is left cannot matter, and the
 * bound of what was not looked at is reported.
 */
export function scorePairs(
  space: FaultSpace,
  timeline: Timeline,
  singles: SinglePosterior,
  arising: ArisingOdds,
  settler: PairSettler,
  limits: PairLimits,
): PairResult {
  const candidates = chooseCandidates(space, singles, limits.candidates);
  const items = singles.likelihoods.items.flat();
  const bounds: { i: number; j: number; bound: number }[] = [];
  for (let i = 0; i < candidates.length; i += 1) {
    for (let j = i + 1; j < candidates.length; j += 1) {
      const a = candidates[i] as Candidate;
      const b = candidates[j] as Candidate;
      let bound = Math.log(space.odds[a.hypothesis] as number) + Math.log(space.odds[b.hypothesis] as number);
      for (const item of items) {
        bound += Math.max(
          item[a.hypothesis] as number,
          item[b.hypothesis] as number,
          item[healthHypothesis] as number,
        );
      }
      bounds.push({ i, j, bound });
    }
  }
  bounds.sort((x, y) => y.bound - x.bound);
  const total = logSum(singles.logWeight);
  const pairs: PairHypothesis[] = [];
  let settledTogether = 0;
  let combined = 0;
  let leftOut = 0;
  for (const { i, j, bound } of bounds) {
    const a = candidates[i] as Candidate;
    const b = candidates[j] as Candidate;
    const apart = settler.disjoint(a.fault.effect, b.fault.effect);
    if (bound < total - negligible || (!apart && settledTogether >= limits.settle)) {
      leftOut += Math.exp(bound - total);
      continue;
    }
    if (apart) combined += 1;
    else settledTogether += 1;
    const pair = scorePair(space, timeline, singles, arising, settler, a, b, apart);
    pairs.push(pair);
  }
  settler.release();
  return { pairs, settledTogether, combined, leftOut };
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

function scorePair(
  space: FaultSpace,
  timeline: Timeline,
  singles: SinglePosterior,
  arising: ArisingOdds,
  settler: PairSettler,
  a: Candidate,
  b: Candidate,
  apart: boolean,
): PairHypothesis {
  const rows = apart ? [] : settler.rows(a.fault.effect, b.fault.effect);
  const weighed = weighHistories(
    timeline,
    [a.fault, b.fault],
    [space.odds[a.hypothesis] as number, space.odds[b.hypothesis] as number],
    [arising(a.fault), arising(b.fault)],
    (epoch, present) => {
      const single = singles.likelihoods.epochs[epoch];
      if (present === 0) return single?.[healthHypothesis] ?? 0;
      if (present === 1) return single?.[a.hypothesis] ?? 0;
      if (present === 2) return single?.[b.hypothesis] ?? 0;
      return apart
        ? combineApart(singles, epoch, a, b)
        : scoreTogether(space, timeline, singles, epoch, a, b, rows);
    },
  );
  return {
    first: a.hypothesis,
    second: b.hypothesis,
    logWeight: weighed.logWeight,
    presentFirst: weighed.present[0] ?? 0,
    presentSecond: weighed.present[1] ?? 0,
  };
}

/** Two faults that share nothing: each observation is touched by at most one of them, so their odds ratios multiply. */
function combineApart(singles: SinglePosterior, epoch: number, a: Candidate, b: Candidate): number {
  const healthy = singles.likelihoods.epochs[epoch]?.[healthHypothesis] ?? 0;
  return (
    (singles.likelihoods.epochs[epoch]?.[a.hypothesis] ?? 0) +
    (singles.likelihoods.epochs[epoch]?.[b.hypothesis] ?? 0) -
    healthy
  );
}

function scoreTogether(
  space: FaultSpace,
  timeline: Timeline,
  singles: SinglePosterior,
  epoch: number,
  a: Candidate,
  b: Candidate,
  rows: readonly JointRow[],
): number {
  const evidence = timeline.epochs[epoch] ?? [];
  const items = singles.likelihoods.items[epoch] ?? [];
  const faults = [a.fault, b.fault];
  const timeCode = { permanent: 0, "warm-only": 1, intermittent: 2 } as const;
  let most = Number.NEGATIVE_INFINITY;
  const logs = rows.map((row) => {
    let log = Math.log(row.share);
    for (const [i, one] of evidence.entries()) {
      const item = items[i];
      const showsA = shownChance(timeCode[a.fault.manifestation], one.condition, space.model);
      const showsB = shownChance(timeCode[b.fault.manifestation], one.condition, space.model);
      const both = one.likelihoodOf(row.view, faults);
      const alone = (h: number): number => Math.exp(item?.[h] ?? 0);
      log += Math.log(
        showsA * showsB * both +
          showsA * (1 - showsB) * alone(a.hypothesis) +
          (1 - showsA) * showsB * alone(b.hypothesis) +
          (1 - showsA) * (1 - showsB) * alone(healthHypothesis),
      );
    }
    most = Math.max(most, log);
    return log;
  });
  let sum = 0;
  for (const log of logs) sum += Math.exp(log - most);
  return most + Math.log(sum);
}
