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

/** A repair whose gain has shrunk below this share of what it was sorted by waits for the second round. */
const deferShare = 0.7;
/** Share of the mass below which nothing worth paying for is left. */
const negligibleShare = 1e-7;

/**
 * Expected cost of a good order of repairs where several repairs end the same class or a class needs several. Repairs
 * are sorted by gain per minute; a class that needs two credits each with half its mass, and a repair that another has
 * made mostly needless is put off to a second round. Not always the best order (the counter-example is in
 * test/reference/heckerman-breese-1995-troubleshooting). Takes classes and masses as `RemainingCost.of` does.
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

  // What each queued repair was credited with when sorted; zero between calls.
  const credit = new Float64Array(repairCount);
  const queue = new Int32Array(repairCount);
  const next = new Int32Array(repairCount);
  const ratio = new Float64Array(repairCount);
  // Per class: mass not yet won, zero between calls; repairs still needed.
  const left = new Float64Array(terms.classes.length);
  const open = new Int32Array(terms.classes.length);
  const order = createBucketOrder(repairCount);

  const worthNow = (repair: number): number => {
    const own = classesOf[repair] ?? nothing;
    let worth = 0;
    for (let j = 0; j < own.length; j += 1) {
      const id = own[j] ?? 0;
      if ((left[id] ?? 0) > 0) worth += (left[id] ?? 0) / (open[id] ?? 1);
    }
    return worth * (success[repair] ?? 0);
  };

  /** Does the repair; returns the mass won. */
  const win = (repair: number): number => {
    const works = success[repair] ?? 0;
    const own = classesOf[repair] ?? nothing;
    let won = 0;
    for (let j = 0; j < own.length; j += 1) {
      const id = own[j] ?? 0;
      const before = left[id] ?? 0;
      if (before <= 0) continue;
      if ((open[id] ?? 1) === 1) {
        won += before * works;
        left[id] = before * (1 - works);
      } else {
        // One of several done: where it failed, the class cannot be finished any more.
        left[id] = before * works;
        open[id] = (open[id] ?? 1) - 1;
      }
    }
    return won;
  };

  return (activeClasses, masses, count) => {
    let mass = 0;
    let queued = 0;
    for (let k = 0; k < count; k += 1) {
      const amount = masses[k] ?? 0;
      if (amount <= 0) continue;
      mass += amount;
      const id = activeClasses[k] ?? 0;
      const list = repairsOf[id] ?? nothing;
      left[id] = amount;
      open[id] = needed[id] ?? 1;
      for (let j = 0; j < list.length; j += 1) {
        const repair = list[j] ?? 0;
        const gain = (amount * (success[repair] ?? 0)) / (open[id] ?? 1);
        if (gain <= 0) continue;
        if (credit[repair] === 0) {
          queue[queued] = repair;
          queued += 1;
        }
        credit[repair] = (credit[repair] ?? 0) + gain;
      }
    }
    const floorMass = mass * negligibleShare;
    let best = mass * lastResort;
    let paid = 0;
    for (let round = 1; round <= 2 && queued > 0; round += 1) {
      for (let i = 0; i < queued; i += 1) {
        const repair = queue[i] ?? 0;
        ratio[i] = (credit[repair] ?? 0) / (repairCost[repair] ?? 1);
      }
      const sorted = order.sort(ratio, queued);
      let deferred = 0;
      let done = false;
      for (let i = 0; i < queued; i += 1) {
        const repair = queue[sorted[i] ?? 0] ?? 0;
        const sortedBy = credit[repair] ?? 0;
        credit[repair] = 0;
        if (done) continue;
        if (round === 1 && worthNow(repair) < deferShare * sortedBy) {
          next[deferred] = repair;
          deferred += 1;
          continue;
        }
        paid += (repairCost[repair] ?? 0) * mass;
        mass -= win(repair);
        const total = paid + Math.max(0, mass) * lastResort;
        if (!mayGiveUp || total < best) best = total;
        done = mass <= floorMass || (mayGiveUp && paid >= best);
      }
      queued = 0;
      for (let i = 0; i < deferred && !done; i += 1) {
        const repair = next[i] ?? 0;
        const worth = worthNow(repair);
        if (worth <= 0) continue;
        credit[repair] = worth;
        queue[queued] = repair;
        queued += 1;
      }
    }
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
