import { createBucketOrder } from "./bucket-order.js";

/** What ends the hypotheses of a class: `needed` of the listed repairs must be done. */
export interface RepairClass {
  readonly repairs: readonly number[];
  readonly needed: number;
}

/** The terms of all repairs and what they end. */
export interface SharedRepairTerms {
  /** [repairs]: minutes, check included; positive. */
  readonly cost: ArrayLike<number>;
  /** [repairs]: probability that it works where it is the right one. */
  readonly success: ArrayLike<number>;
  readonly classes: readonly RepairClass[];
  /** Minutes charged for each unit of mass that the repairs leave. */
  readonly lastResort: number;
  /** True if the order may be cut short at any point by paying `lastResort`. */
  readonly mayGiveUp: boolean;
}

/** Share of the mass below which nothing worth paying for is left. */
const negligibleShare = 1e-7;

/**
 * Expected cost of a good order of repairs where several repairs end the same class or a class needs several: at each
 * step the best gain per minute, gains kept up to date; a class that needs two credits each with half its mass. Not
 * always the best order: with three repairs of one minute each that end {1,2}, {2,3}, {3,4} of weights .2 .25 .4 .15 it
 * begins with the second and takes 1.50 minutes, the best order 1.45. Takes classes and masses as `RemainingCost.of` does.
 */
export function createSharedRepairCost(
  terms: SharedRepairTerms,
): (activeClasses: Int32Array, masses: Float64Array, count: number) => number {
  const repairCount = terms.cost.length;
  const repairCost = Float64Array.from(terms.cost);
  const success = Float64Array.from(terms.success);
  const needed = Int32Array.from(terms.classes, (k) => k.needed);
  const repairsOf = terms.classes.map((k) => Int32Array.from(k.repairs.length < k.needed ? [] : k.repairs));
  const classesOf = classesOfRepairs(repairsOf, repairCount);
  const { lastResort, mayGiveUp } = terms;

  // Repairs in the order they would be done; `place` is where each stands, -1 if it is not (or no longer) there.
  const queue = new Int32Array(repairCount);
  const place = new Int32Array(repairCount).fill(-1);
  const ratio = new Float64Array(repairCount);
  const unsorted = new Int32Array(repairCount);
  const unsortedRatio = new Float64Array(repairCount);
  // Per repair: mass it is credited with. Per class: mass not yet won and repairs still needed.
  const credit = new Float64Array(repairCount);
  const left = new Float64Array(terms.classes.length);
  const open = new Int32Array(terms.classes.length);
  const order = createBucketOrder(repairCount);

  /** Moves a waiting repair to where its present credit belongs, behind `front`. */
  const settle = (repair: number, front: number, queued: number): void => {
    let at = place[repair] ?? -1;
    if (at < 0) return;
    const value = (credit[repair] ?? 0) / (repairCost[repair] ?? 1);
    while (at + 1 < queued && (ratio[at + 1] ?? 0) > value) {
      shift(at + 1, at);
      at += 1;
    }
    while (at - 1 > front && (ratio[at - 1] ?? 0) < value) {
      shift(at - 1, at);
      at -= 1;
    }
    queue[at] = repair;
    ratio[at] = value;
    place[repair] = at;
  };

  const shift = (from: number, to: number): void => {
    const repair = queue[from] ?? 0;
    queue[to] = repair;
    ratio[to] = ratio[from] ?? 0;
    place[repair] = to;
  };

  /** Does the repair at `front`: updates its classes and the places of the repairs they share; returns the mass won. */
  const win = (front: number, queued: number): number => {
    const repair = queue[front] ?? 0;
    const works = success[repair] ?? 0;
    const own = classesOf[repair] ?? nothing;
    place[repair] = -1;
    let won = 0;
    for (let j = 0; j < own.length; j += 1) {
      const id = own[j] ?? 0;
      const before = left[id] ?? 0;
      if (before <= 0) continue;
      const openBefore = open[id] ?? 1;
      // One of several done: where it failed, the class cannot be finished any more.
      const after = openBefore === 1 ? before * (1 - works) : before * works;
      if (openBefore === 1) won += before - after;
      else open[id] = openBefore - 1;
      left[id] = after;
      const change = after / (open[id] ?? 1) - before / openBefore;
      const list = repairsOf[id] ?? nothing;
      for (let i = 0; i < list.length; i += 1) {
        const other = list[i] ?? 0;
        if ((place[other] ?? -1) < 0) continue;
        credit[other] = Math.max(0, (credit[other] ?? 0) + change * (success[other] ?? 0));
        settle(other, front, queued);
      }
    }
    return won;
  };

  /** Takes in the masses, sorts the repairs by gain per minute and returns how many there are. */
  const start = (activeClasses: Int32Array, masses: Float64Array, count: number): number => {
    let queued = 0;
    for (let k = 0; k < count; k += 1) {
      const id = activeClasses[k] ?? 0;
      const amount = masses[k] ?? 0;
      const wanted = needed[id] ?? 1;
      const list = repairsOf[id] ?? nothing;
      left[id] = amount;
      open[id] = wanted;
      for (let j = 0; amount > 0 && j < list.length; j += 1) {
        const repair = list[j] ?? 0;
        if (place[repair] === -1) {
          place[repair] = 0;
          credit[repair] = 0;
          unsorted[queued] = repair;
          queued += 1;
        }
        credit[repair] = (credit[repair] ?? 0) + (amount * (success[repair] ?? 0)) / wanted;
      }
    }
    for (let i = 0; i < queued; i += 1) {
      const repair = unsorted[i] ?? 0;
      unsortedRatio[i] = (credit[repair] ?? 0) / (repairCost[repair] ?? 1);
    }
    const sorted = order.sort(unsortedRatio, queued);
    for (let i = 0; i < queued; i += 1) {
      const from = sorted[i] ?? 0;
      const repair = unsorted[from] ?? 0;
      queue[i] = repair;
      ratio[i] = unsortedRatio[from] ?? 0;
      place[repair] = i;
    }
    return queued;
  };

  return (activeClasses, masses, count) => {
    const queued = start(activeClasses, masses, count);
    let mass = 0;
    for (let k = 0; k < count; k += 1) mass += masses[k] ?? 0;
    const floorMass = mass * negligibleShare;
    let best = mass * lastResort;
    let paid = 0;
    for (let front = 0; front < queued && (ratio[front] ?? 0) > 0; front += 1) {
      paid += (repairCost[queue[front] ?? 0] ?? 0) * mass;
      mass -= win(front, queued);
      const total = paid + Math.max(0, mass) * lastResort;
      if (!mayGiveUp || total < best) best = total;
      if (mass <= floorMass || (mayGiveUp && paid >= best)) break;
    }
    for (let i = 0; i < queued; i += 1) place[unsorted[i] ?? 0] = -1;
    for (let k = 0; k < count; k += 1) left[activeClasses[k] ?? 0] = 0;
    return best;
  };
}

const nothing = new Int32Array(0);

/** For each repair, the classes it takes part in. */
function classesOfRepairs(repairsOf: readonly Int32Array[], repairCount: number): Int32Array[] {
  const lists: number[][] = Array.from({ length: repairCount }, () => []);
  repairsOf.forEach((list, id) => {
    for (const repair of list) lists[repair]?.push(id);
  });
  return lists.map((list) => Int32Array.from(list));
}
