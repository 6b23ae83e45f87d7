import type { Boundary, Timeline } from "../evidence/timeline.js";
import type { Fault } from "../faults/fault.js";

/** Odds with which a dated event made a fault. */
export interface Arising {
  /** First epoch the fault can be there in. */
  readonly epoch: number;
  readonly odds: number;
}

/** Weights of the histories one or two faults can have had. */
export interface HistoryWeight {
  /** Log of the sum of all histories in which every fault occurred, in odds against the machine without them. */
  readonly logWeight: number;
  /** Share of that in which fault i is still there at the end. */
  readonly present: readonly number[];
}

const notYet = 0;
const there = 1;
const gone = 2;

/**
 * Sums over the histories of one or two faults: each is there from the start or arises at a dated event, and each
 * repair that fits it takes it away with the chance of that repair. Epoch by epoch the evidence is scored against
 * the board as it then was.
 * @param faults one or two
 * @param startOdds odds of each fault being there from the start
 * @param arising dated odds of each fault
 * @param logLikelihood of an epoch, by bit set of the faults that are there (bit 0 the first fault)
 */
export function weighHistories(
  timeline: Timeline,
  faults: readonly Fault[],
  startOdds: readonly number[],
  arising: readonly (readonly Arising[])[],
  logLikelihood: (epoch: number, present: number) => number,
): HistoryWeight {
  const { forward, logWeight } = runForward(timeline, { faults, startOdds, arising, logLikelihood });
  const present = presentShares(forward[forward.length - 1], endStates(faults.length), faults.length);
  return {
    logWeight,
    present: faults.map((_, f) => sumWhere(present, (bits) => ((bits >> f) & 1) === 1)),
  };
}

/**
 * Which of the faults were there in each epoch, given the whole log and that each of them is or was there at some time:
 * by epoch, the share of each bit set of faults (bit 0 the first fault); each epoch's shares sum to 1. Arguments as for
 * {@link weighHistories}; all shares are 0 if no history is possible.
 */
export function presenceByEpoch(
  timeline: Timeline,
  faults: readonly Fault[],
  startOdds: readonly number[],
  arising: readonly (readonly Arising[])[],
  logLikelihood: (epoch: number, present: number) => number,
): readonly Float64Array[] {
  const setting = { faults, startOdds, arising, logLikelihood };
  const { forward } = runForward(timeline, setting);
  const count = faults.length;
  let later: Float64Array = endStates(count);
  const shares: Float64Array[] = [];
  for (let epoch = timeline.epochs.length - 1; epoch >= 0; epoch -= 1) {
    shares.unshift(presentShares(forward[epoch], later, count));
    if (epoch === 0) break;
    later = scaledBy(later, (state) => logLikelihood(epoch, presentBits(state, count))).weights;
    for (const f of faults.keys()) later = passBack(later, f, ...chancesAt(timeline, setting, f, epoch));
  }
  return shares;
}

interface Setting {
  readonly faults: readonly Fault[];
  readonly startOdds: readonly number[];
  readonly arising: readonly (readonly Arising[])[];
  readonly logLikelihood: (epoch: number, present: number) => number;
}

/** By epoch the weight of each state after its evidence, each epoch scaled to a largest of 1; the last one's true scale. */
function runForward(
  timeline: Timeline,
  setting: Setting,
): { readonly forward: readonly Float64Array[]; readonly logWeight: number } {
  const { faults, startOdds, logLikelihood } = setting;
  const count = faults.length;
  const stateCount = 3 ** count;
  let weights = new Float64Array(stateCount);
  for (let state = 0; state < stateCount; state += 1) {
    let weight = 1;
    for (let f = 0; f < count; f += 1) {
      const status = statusOf(state, f);
      weight *= status === there ? (startOdds[f] ?? 0) : status === notYet ? 1 : 0;
    }
    weights[state] = weight;
  }
  const forward: Float64Array[] = [];
  let logScale = 0;
  for (const epoch of timeline.epochs.keys()) {
    if (epoch > 0) {
      for (let f = 0; f < count; f += 1)
        weights = passBoundary(weights, f, ...chancesAt(timeline, setting, f, epoch));
    }
    const scaled = scaledBy(weights, (state) => logLikelihood(epoch, presentBits(state, count)));
    weights = scaled.weights;
    logScale += scaled.logScale;
    forward.push(weights);
  }
  const end = endStates(count);
  let total = 0;
  for (let state = 0; state < stateCount; state += 1)
    total += (weights[state] as number) * (end[state] as number);
  return { forward, logWeight: Math.log(total) + logScale };
}

/** Chance that the boundary before an epoch takes the fault away, and odds that what befell then made it. */
function chancesAt(timeline: Timeline, setting: Setting, f: number, epoch: number): [number, number] {
  return [
    removalChance(timeline.boundaries[epoch - 1], setting.faults[f]),
    arisingAt(setting.arising[f] ?? [], epoch),
  ];
}

/** Weights times exp(log), scaled to a largest of 1; all 0 if nothing is possible. */
function scaledBy(
  weights: Float64Array,
  logOf: (state: number) => number,
): { readonly weights: Float64Array<ArrayBuffer>; readonly logScale: number } {
  const scaled = new Float64Array(weights.length);
  let most = Number.NEGATIVE_INFINITY;
  for (let state = 0; state < weights.length; state += 1) {
    const weight = weights[state] as number;
    const log = weight > 0 ? Math.log(weight) + logOf(state) : Number.NEGATIVE_INFINITY;
    scaled[state] = log;
    if (log > most) most = log;
  }
  for (let state = 0; state < weights.length; state += 1)
    scaled[state] = most > Number.NEGATIVE_INFINITY ? Math.exp((scaled[state] as number) - most) : 0;
  return { weights: scaled, logScale: most };
}

/** Shares of the bit sets of faults that are there: each state's weight up to an epoch times that of what follows. */
function presentShares(earlier: Float64Array | undefined, later: Float64Array, count: number): Float64Array {
  const shares = new Float64Array(2 ** count);
  let total = 0;
  for (let state = 0; state < later.length; state += 1) {
    const weight = (earlier?.[state] ?? 0) * (later[state] as number);
    const bits = presentBits(state, count);
    shares[bits] = (shares[bits] as number) + weight;
    total += weight;
  }
  if (total > 0)
    for (let bits = 0; bits < shares.length; bits += 1) shares[bits] = (shares[bits] as number) / total;
  return shares;
}

/** By number of faults, [states]: 1 for the states in which every fault has occurred, there or gone; else 0. */
const atTheEnd: readonly Float64Array[] = [0, 1, 2].map((count) =>
  Float64Array.from({ length: 3 ** count }, (_, state) => {
    for (let f = 0; f < count; f += 1) if (statusOf(state, f) === notYet) return 0;
    return 1;
  }),
);

function endStates(count: number): Float64Array {
  const found = atTheEnd[count];
  if (found === undefined) throw new RangeError(`histories are summed for one or two faults, not ${count}`);
  return found;
}

function sumWhere(values: Float64Array, chosen: (index: number) => boolean): number {
  let sum = 0;
  for (let i = 0; i < values.length; i += 1) if (chosen(i)) sum += values[i] as number;
  return sum;
}

function statusOf(state: number, fault: number): number {
  return (fault === 0 ? state : Math.floor(state / 3 ** fault)) % 3;
}

function presentBits(state: number, count: number): number {
  let bits = 0;
  for (let f = 0; f < count; f += 1) if (statusOf(state, f) === there) bits |= 1 << f;
  return bits;
}

function passBoundary(
  weights: Float64Array,
  fault: number,
  removes: number,
  arises: number,
): Float64Array<ArrayBuffer> {
  const next = new Float64Array(weights.length);
  const step = 3 ** fault;
  for (let state = 0; state < weights.length; state += 1) {
    const weight = weights[state] as number;
    if (weight === 0) continue;
    const status = statusOf(state, fault);
    const base = state - status * step;
    const add = (to: number, share: number): void => {
      next[base + to * step] = (next[base + to * step] as number) + weight * share;
    };
    if (status === notYet) {
      add(notYet, 1);
      if (arises > 0) add(there, arises);
    } else if (status === there) {
      add(there, 1 - removes);
      if (removes > 0) add(gone, removes);
    } else add(gone, 1);
  }
  return next;
}

/** The transpose of {@link passBoundary}: what each state before the boundary leads to. */
function passBack(
  weights: Float64Array,
  fault: number,
  removes: number,
  arises: number,
): Float64Array<ArrayBuffer> {
  const step = 3 ** fault;
  return Float64Array.from(weights, (own, state) => {
    const status = statusOf(state, fault);
    const at = (to: number): number => weights[state + (to - status) * step] as number;
    if (status === notYet) return own + arises * at(there);
    return status === there ? (1 - removes) * own + removes * at(gone) : own;
  });
}

function removalChance(boundary: Boundary | undefined, fault: Fault | undefined): number {
  if (boundary === undefined || fault === undefined || boundary.part !== fault.part) return 0;
  return boundary.sites.includes(fault.site) ? boundary.removes : 0;
}

function arisingAt(arising: readonly Arising[], epoch: number): number {
  let odds = 0;
  for (const one of arising) if (one.epoch === epoch) odds += one.odds;
  return odds;
}
