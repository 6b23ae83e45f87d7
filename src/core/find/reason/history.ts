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
  let logScale = 0;
  for (const [epoch] of timeline.epochs.entries()) {
    if (epoch > 0) {
      const boundary = timeline.boundaries[epoch - 1];
      for (let f = 0; f < count; f += 1) {
        weights = passBoundary(
          weights,
          f,
          removalChance(boundary, faults[f]),
          arisingAt(arising[f] ?? [], epoch),
        );
      }
    }
    let most = Number.NEGATIVE_INFINITY;
    const logs = new Float64Array(stateCount).fill(Number.NEGATIVE_INFINITY);
    for (let state = 0; state < stateCount; state += 1) {
      const weight = weights[state] as number;
      if (weight <= 0) continue;
      logs[state] = Math.log(weight) + logLikelihood(epoch, presentBits(state, count));
      most = Math.max(most, logs[state] as number);
    }
    if (most === Number.NEGATIVE_INFINITY) return { logWeight: most, present: faults.map(() => 0) };
    for (let state = 0; state < stateCount; state += 1)
      weights[state] = Math.exp((logs[state] as number) - most);
    logScale += most;
  }
  let total = 0;
  const present = new Float64Array(count);
  for (let state = 0; state < stateCount; state += 1) {
    let occurred = true;
    for (let f = 0; f < count; f += 1) if (statusOf(state, f) === notYet) occurred = false;
    if (!occurred) continue;
    total += weights[state] as number;
    for (let f = 0; f < count; f += 1)
      if (statusOf(state, f) === there) present[f] = (present[f] as number) + (weights[state] as number);
  }
  return {
    logWeight: Math.log(total) + logScale,
    present: Array.from(present, (p) => (total > 0 ? p / total : 0)),
  };
}

function statusOf(state: number, fault: number): number {
  return Math.floor(state / 3 ** fault) % 3;
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

function removalChance(boundary: Boundary | undefined, fault: Fault | undefined): number {
  if (boundary === undefined || fault === undefined || boundary.part !== fault.part) return 0;
  return boundary.sites.includes(fault.site) ? boundary.removes : 0;
}

function arisingAt(arising: readonly Arising[], epoch: number): number {
  let odds = 0;
  for (const one of arising) if (one.epoch === epoch) odds += one.odds;
  return odds;
}
