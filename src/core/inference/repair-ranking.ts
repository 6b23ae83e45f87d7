import type { CompactProblem } from "./compact-problem.js";
import { entropyBits } from "./information.js";
import type { PlannerRepair, RankedAction } from "./planner-input.js";
import type { RemainingCost } from "./remaining-cost.js";
import type { RepairTransitions } from "./repair-classes.js";

/** All repairs, each followed, where it does not work, by the remaining cost of what is then left. */
export function rankRepairs(
  problem: CompactProblem,
  transitions: RepairTransitions,
  remaining: RemainingCost,
  repairs: readonly PlannerRepair[],
): RankedAction[] {
  const rootMasses = new Float64Array(transitions.classes.length);
  problem.classOf.forEach((id, i) => {
    rootMasses[id] = (rootMasses[id] ?? 0) + (problem.weights[i] ?? 0);
  });
  const everyClass = Int32Array.from(transitions.classes.keys());
  const masses = new Float64Array(rootMasses.length);
  return repairs.map((repair, index): RankedAction => {
    const success = repair.successProbability ?? 1;
    const sure = repair.fixes === "everything";
    let right = sure ? 1 : 0;
    masses.set(rootMasses);
    for (const { before, after, couldEnd } of transitions.changes[index] ?? []) {
      const mass = rootMasses[before] ?? 0;
      if (couldEnd) right += mass;
      masses[before] = (masses[before] ?? 0) - mass;
      masses[after] = (masses[after] ?? 0) + (couldEnd ? mass * (1 - success) : mass);
    }
    const works = Math.min(1, right * success);
    const goesOn = sure ? 0 : remaining.of(everyClass, masses, masses.length);
    const noise = right * entropyBits([success, 1 - success]);
    return {
      kind: "repair",
      id: repair.id,
      index,
      costMinutes: repair.costMinutes,
      expectedTotalCost: repair.costMinutes + goesOn,
      informationBits: Math.max(0, entropyBits([works, 1 - works]) - noise),
      outcomeProbabilities: [works, 1 - works],
    };
  });
}
