/** A repair as the ordering problem sees it: what it costs, check included, and which hypotheses it ends. */
export interface RepairAction {
  /** Minutes for the repair and for the check that tells whether the machine now works. */
  readonly costMinutes: number;
  /** Indices of the hypotheses that this repair ends. */
  readonly fixes: ArrayLike<number>;
  /** Probability that the repair works where its hypothesis is true; 1 if absent. */
  readonly successProbability?: number;
}

/** An order of repairs. Repairs that can no longer help are left out. */
export interface RepairOrder {
  readonly order: readonly number[];
  /** Expected minutes until the machine works or the order is used up. */
  readonly expectedCostMinutes: number;
  /** "exact" is an optimal order; "greedy" took the best gain per minute at each step. */
  readonly method: "exact" | "greedy";
}

/** Most repairs for which orders of repairs that share hypotheses are searched exactly; work is 2^n × n. */
export const exactRepairLimit = 15;

/** Mass below which the machine counts as repaired. */
const nothingLeft = 1e-12;

/**
 * Expected minutes of doing the repairs in the given order: each is paid for with the probability that none before it
 * worked. Weights sum to 1; what no repair ends keeps paying to the end of the order.
 */
export function expectedOrderCost(
  weights: ArrayLike<number>,
  actions: readonly RepairAction[],
  order: readonly number[],
): number {
  const left = Float64Array.from(weights);
  let mass = left.reduce((sum, w) => sum + w, 0);
  let cost = 0;
  for (const index of order) {
    const action = actions[index];
    if (action === undefined) throw new RangeError(`there is no repair ${index}`);
    if (mass <= nothingLeft) break;
    cost += action.costMinutes * mass;
    mass -= applyRepair(left, action);
  }
  return cost;
}

/** Takes what the repair fixes out of the weights and returns how much that was. */
function applyRepair(left: Float64Array, action: RepairAction): number {
  const success = action.successProbability ?? 1;
  let fixed = 0;
  for (let k = 0; k < action.fixes.length; k += 1) {
    const h = action.fixes[k] ?? 0;
    const gain = (left[h] ?? 0) * success;
    left[h] = (left[h] ?? 0) - gain;
    fixed += gain;
  }
  return fixed;
}

function possibleGain(left: Float64Array, action: RepairAction): number {
  let gain = 0;
  for (let k = 0; k < action.fixes.length; k += 1) gain += left[action.fixes[k] ?? 0] ?? 0;
  return gain * (action.successProbability ?? 1);
}

/**
 * Best order of repairs under one fault. If no hypothesis is ended by two repairs, the order of falling probability
 * per minute is optimal (the p/C rule: Kadane and Simon 1977; Heckerman, Breese and Rommelse 1995). If some are, the
 * best order is searched exactly over subsets for up to `exactRepairLimit` repairs, and chosen greedily beyond.
 * Costs must be positive or zero; throws `RangeError` otherwise.
 */
export function findRepairOrder(weights: ArrayLike<number>, actions: readonly RepairAction[]): RepairOrder {
  const seen = new Uint8Array(weights.length);
  let shared = false;
  for (const action of actions) {
    if (!(action.costMinutes >= 0)) throw new RangeError(`a repair costs ${action.costMinutes} minutes`);
    for (let k = 0; k < action.fixes.length; k += 1) {
      const h = action.fixes[k] ?? 0;
      if (h < 0 || h >= seen.length) throw new RangeError(`a repair names hypothesis ${h} of ${seen.length}`);
      if (seen[h] === 1) shared = true;
      seen[h] = 1;
    }
  }
  const exact = shared && actions.length <= exactRepairLimit;
  const order = exact ? searchSubsets(weights, actions) : greedyOrder(weights, actions);
  return {
    order,
    expectedCostMinutes: expectedOrderCost(weights, actions, order),
    method: exact || !shared ? "exact" : "greedy",
  };
}

/** Falling gain per minute, gains recomputed after each step; this is the p/C order where no repairs overlap. */
export function greedyOrder(weights: ArrayLike<number>, actions: readonly RepairAction[]): number[] {
  const left = Float64Array.from(weights);
  const waiting = new Set(actions.keys());
  const order: number[] = [];
  for (;;) {
    let best = -1;
    let bestRatio = 0;
    for (const index of waiting) {
      const action = actions[index];
      if (action === undefined) continue;
      const gain = possibleGain(left, action);
      const ratio = gain <= nothingLeft ? 0 : gain / action.costMinutes;
      if (ratio > bestRatio) {
        best = index;
        bestRatio = ratio;
      }
    }
    const action = actions[best];
    if (action === undefined) return order;
    applyRepair(left, action);
    waiting.delete(best);
    order.push(best);
  }
}

/** Dynamic programming over the set of repairs done; the mass left after a set does not depend on its order. */
function searchSubsets(weights: ArrayLike<number>, actions: readonly RepairAction[]): number[] {
  const count = actions.length;
  const full = 2 ** count - 1;
  const mass = massLeftAfter(weights, actions);
  const value = new Float64Array(full + 1);
  const choice = new Int8Array(full + 1).fill(-1);
  for (let done = full - 1; done >= 0; done -= 1) {
    const left = mass[done] ?? 0;
    if (left <= nothingLeft) continue;
    let best = Number.POSITIVE_INFINITY;
    for (let index = 0; index < count; index += 1) {
      const next = done | (1 << index);
      // A repair that changes nothing is never worth its minutes.
      if (next === done || left - (mass[next] ?? 0) <= nothingLeft) continue;
      const cost = left * (actions[index]?.costMinutes ?? 0) + (value[next] ?? 0);
      if (cost < best) {
        best = cost;
        choice[done] = index;
      }
    }
    value[done] = best === Number.POSITIVE_INFINITY ? 0 : best;
  }
  const order: number[] = [];
  for (let done = 0, index = choice[0] ?? -1; index >= 0; index = choice[done] ?? -1) {
    order.push(index);
    done |= 1 << index;
  }
  return order;
}

/** [2^repairs]: mass not fixed after each set of repairs. */
function massLeftAfter(weights: ArrayLike<number>, actions: readonly RepairAction[]): Float64Array {
  const helpers = new Int32Array(weights.length);
  actions.forEach((action, index) => {
    for (let k = 0; k < action.fixes.length; k += 1) {
      const h = action.fixes[k] ?? 0;
      helpers[h] = (helpers[h] ?? 0) | (1 << index);
    }
  });
  const massOfMask = new Map<number, number>();
  helpers.forEach((mask, h) => {
    massOfMask.set(mask, (massOfMask.get(mask) ?? 0) + (weights[h] ?? 0));
  });
  const survive = actions.map((action) => 1 - (action.successProbability ?? 1));
  const result = new Float64Array(2 ** actions.length);
  for (let done = 0; done < result.length; done += 1) {
    let sum = 0;
    for (const [mask, mass] of massOfMask) {
      let part = mass;
      for (let common = mask & done; common !== 0 && part > 0; common &= common - 1) {
        part *= survive[31 - Math.clz32(common & -common)] ?? 1;
      }
      sum += part;
    }
    result[done] = sum;
  }
  return result;
}
