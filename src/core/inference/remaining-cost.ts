import { createBucketOrder } from "./bucket-order.js";
import { createSharedRepairCost, type RepairClass } from "./shared-repair-cost.js";

/**
 * Estimates what is still to be paid from a state of knowledge, without further tests. Hypotheses come as classes with
 * equal consequences; masses need not sum to 1, and the cost grows in proportion with them.
 */
export interface RemainingCost {
  /** Cost for the classes `classes[0 .. count - 1]`, each listed once, with the masses `masses[0 .. count - 1]`. */
  of(classes: Int32Array, masses: Float64Array, count: number): number;
  /** Cost of not testing any more, in the same terms; Infinity where the goal cannot be reached that way. */
  stopping(classes: Int32Array, masses: Float64Array, count: number): number;
}

/** A repair reduced to numbers. */
export interface RepairTerms {
  /** Minutes, check included. */
  readonly cost: number;
  /** Probability that it works where it is the right one. */
  readonly success: number;
}

/** Costs of zero would make ratios infinite; a thousandth of a second changes no plan. */
const leastCost = 1e-5;
/** Share of the mass below which nothing worth paying for is left. */
const negligibleShare = 1e-7;

/**
 * Expected cost of a good order of repairs: falling gain per minute, stopped where giving up (`giveUpCost`, which ends
 * everything) is cheaper. That order is optimal while no class is shared between repairs; where some are, see
 * `createSharedRepairCost`. Without a give-up, what no repair ends is charged with trying all repairs in vain once more.
 */
export function createRepairCost(
  repairs: readonly RepairTerms[],
  classes: readonly RepairClass[],
  giveUpCost: number | undefined,
): RemainingCost {
  const cost = repairs.map((repair) => Math.max(leastCost, repair.cost));
  const lastResort = giveUpCost ?? cost.reduce((sum, minutes) => sum + minutes, 0);
  const mayGiveUp = giveUpCost !== undefined;
  const shared = createSharedRepairCost({
    cost,
    success: repairs.map((r) => r.success),
    classes,
    lastResort,
    mayGiveUp,
  });
  // Per class with one repair that ends it: its terms. A class that no repair ends has success 0 and is never queued.
  const soleRepair = classes.map((k) =>
    k.repairs.length === 1 && k.needed === 1 ? (k.repairs[0] ?? -1) : -1,
  );
  const classCost = Float64Array.from(soleRepair, (repair) => cost[repair] ?? 1);
  const classSuccess = Float64Array.from(soleRepair, (repair) => repairs[repair]?.success ?? 0);
  const isShared = Uint8Array.from(classes, (k) =>
    k.repairs.length > 1 && k.repairs.length >= k.needed ? 1 : 0,
  );
  const ratio = new Float64Array(classes.length);
  const order = createBucketOrder(classes.length);

  const of = (activeClasses: Int32Array, masses: Float64Array, count: number): number => {
    let mass = 0;
    for (let k = 0; k < count; k += 1) {
      const amount = masses[k] ?? 0;
      const id = activeClasses[k] ?? 0;
      if (isShared[id] === 1 && amount > 0) return shared(activeClasses, masses, count);
      mass += amount;
      ratio[k] = (amount * (classSuccess[id] ?? 0)) / (classCost[id] ?? 1);
    }
    const sorted = order.sort(ratio, count);
    const floorMass = mass * negligibleShare;
    let best = mass * lastResort;
    let paid = 0;
    for (let i = 0; i < count; i += 1) {
      const k = sorted[i] ?? 0;
      const id = activeClasses[k] ?? 0;
      const gain = (masses[k] ?? 0) * (classSuccess[id] ?? 0);
      if (gain <= 0) break;
      paid += (classCost[id] ?? 0) * mass;
      mass -= gain;
      const total = paid + mass * lastResort;
      if (!mayGiveUp || total < best) best = total;
      if (mass <= floorMass || (mayGiveUp && paid >= best)) break;
    }
    return best;
  };

  return { of, stopping: of };
}

/**
 * Forecast of the cost of telling the classes apart: their entropy in bits times `costPerBit`, the cheapest that any
 * test takes for a bit at the start.
 */
export function createIsolationCost(costPerBit: number): RemainingCost {
  return {
    stopping: () => Number.POSITIVE_INFINITY,
    of(_classes, masses, count) {
      let mass = 0;
      let bits = 0;
      for (let k = 0; k < count; k += 1) {
        const p = masses[k] ?? 0;
        if (p <= 0) continue;
        mass += p;
        bits -= p * Math.log2(p);
      }
      return mass > 0 ? Math.max(0, bits + mass * Math.log2(mass)) * costPerBit : 0;
    },
  };
}
