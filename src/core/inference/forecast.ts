import type { CompactProblem } from "./compact-problem.js";
import { createForecastCost } from "./forecast-cost.js";
import { expectedInformationBits } from "./information.js";
import type { PlannerRepair } from "./planner-input.js";
import type { RemainingCost } from "./remaining-cost.js";
import { giveUpCost, type RepairTransitions } from "./repair-classes.js";

/**
 * The best test at the start sets the price of a bit; later ones are less telling. Measured on simulated benches: from
 * 1.5 to 2 the mean cost of a whole job hardly changes, below 1.3 tests are preferred for too long.
 */
const bitCostMargin = 1.6;

/** Bits below which a test does not count as telling anything. */
export const leastBits = 1e-6;

/** The forecast of remaining cost with its constants taken from the state at the start. */
export function forecastFor(
  problem: CompactProblem,
  transitions: RepairTransitions,
  repairing: RemainingCost,
  bitCost: number,
  repairs: readonly PlannerRepair[],
): RemainingCost {
  const costs = repairs.filter((repair) => repair.fixes !== "everything").map((repair) => repair.costMinutes);
  const sole = transitions.classes.map((k) =>
    k.repairs.length === 1 && k.needed === 1 ? repairs[k.repairs[0] ?? -1] : undefined,
  );
  return createForecastCost({
    repairing,
    repairCost: Float64Array.from(sole, (repair) => Math.max(1e-5, repair?.costMinutes ?? 1)),
    failedClass: Int32Array.from(
      transitions.classes,
      (k, id) =>
        (transitions.changes[k.repairs[0] ?? -1] ?? []).find((change) => change.before === id)?.after ?? id,
    ),
    repairSuccess: Float64Array.from(sole, (repair) =>
      repair === undefined ? 0 : (repair.successProbability ?? 1),
    ),
    ...whatTestsLeave(problem, transitions.classes.length, repairing),
    minutesPerBit: bitCost * bitCostMargin,
    cheapestRepair: Math.min(...costs, Number.MAX_VALUE),
    giveUp: giveUpCost(repairs) ?? Number.MAX_VALUE,
  });
}

/** Least cost per bit that any test offers at the start, in minutes; undefined if no test tells anything. */
export function cheapestBit(problem: CompactProblem): number | undefined {
  let best: number | undefined;
  problem.tests.forEach((test, t) => {
    const codes = problem.codes.subarray(t * problem.count, (t + 1) * problem.count);
    const bits = expectedInformationBits(problem.weights, { ...test.observable, codes });
    if (bits > leastBits) best = Math.min(best ?? Number.POSITIVE_INFINITY, test.costMinutes / bits);
  });
  return best;
}

/**
 * For each class, the mean cost of repairing and the mean bits missing once every test has spoken: hypotheses that no
 * test tells apart stay together, in proportions that no evidence can change.
 */
function whatTestsLeave(problem: CompactProblem, classCount: number, repairing: RemainingCost) {
  const knownCost = new Float64Array(classCount);
  const hiddenBits = new Float64Array(classCount);
  const classMass = new Float64Array(classCount);
  // Alone in its row, a class costs this; also the cost of classes that only appear later.
  const aloneCost = Float64Array.from({ length: classCount }, (_, id) =>
    repairing.of(Int32Array.of(id), Float64Array.of(1), 1),
  );
  const rows: number[][] = [];
  problem.rowOf.forEach((row, i) => {
    const members = rows[row] ?? [];
    members.push(i);
    rows[row] = members;
  });
  for (const members of rows) {
    const classes = Int32Array.from(members, (i) => problem.classOf[i] ?? 0);
    const masses = Float64Array.from(members, (i) => problem.weights[i] ?? 0);
    const mass = masses.reduce((sum, m) => sum + m, 0);
    const cost =
      members.length === 1
        ? (aloneCost[classes[0] ?? 0] ?? 0)
        : repairing.of(classes, masses, classes.length) / mass;
    classes.forEach((id, k) => {
      const part = masses[k] ?? 0;
      knownCost[id] = (knownCost[id] ?? 0) + part * cost;
      hiddenBits[id] = (hiddenBits[id] ?? 0) + part * Math.log2(mass / part);
      classMass[id] = (classMass[id] ?? 0) + part;
    });
  }
  for (let id = 0; id < classCount; id += 1) {
    const mass = classMass[id] ?? 0;
    knownCost[id] = mass > 0 ? (knownCost[id] ?? 0) / mass : (aloneCost[id] ?? 0);
    hiddenBits[id] = mass > 0 ? (hiddenBits[id] ?? 0) / mass : 0;
  }
  return { knownCost, hiddenBits };
}
