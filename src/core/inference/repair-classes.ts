import type { CompactProblem } from "./compact-problem.js";
import { fillPlanState, type PlanState } from "./plan-state.js";
import type { PlannerRepair } from "./planner-input.js";
import type { RepairClass } from "./shared-repair-cost.js";

/** Classes of consequences together with the classes they turn into when a repair was done without success. */
export interface RepairTransitions {
  /** The given classes first, then the new ones. */
  readonly classes: readonly RepairClass[];
  /** [repairs]: the given classes that each repair takes part in. */
  readonly changes: readonly (readonly ClassChange[])[];
}

/** What becomes of a class when a repair was done and the machine still does not work. */
export interface ClassChange {
  readonly before: number;
  readonly after: number;
  /** True if the repair alone could have ended the class, so that only its failures remain. */
  readonly couldEnd: boolean;
}

/** Lists what every class becomes after each of its repairs: that repair is used up, and counts as one of those needed. */
export function repairTransitions(given: readonly RepairClass[], repairCount: number): RepairTransitions {
  const classes: RepairClass[] = [...given];
  const ids = new Map(given.map((k, id) => [keyOf(k), id]));
  const changes: ClassChange[][] = Array.from({ length: repairCount }, () => []);
  given.forEach((k, before) => {
    for (const repair of k.repairs) {
      const rest = { repairs: k.repairs.filter((r) => r !== repair), needed: Math.max(1, k.needed - 1) };
      const key = keyOf(rest);
      const after = ids.get(key) ?? classes.length;
      if (after === classes.length) {
        classes.push(rest);
        ids.set(key, after);
      }
      changes[repair]?.push({ before, after, couldEnd: k.needed === 1 });
    }
  });
  return { classes, changes };
}

function keyOf(k: RepairClass): string {
  return `${k.needed}:${k.repairs.join(",")}`;
}

/** The cheapest repair that ends everything, in minutes; undefined if there is none. */
export function giveUpCost(repairs: readonly PlannerRepair[]): number | undefined {
  const costs = repairs.filter((repair) => repair.fixes === "everything").map((repair) => repair.costMinutes);
  return costs.length === 0 ? undefined : Math.min(...costs);
}

/** Fills `state` with what is left after the repair was done and the machine still does not work. */
export function fillAfterRepair(
  problem: CompactProblem,
  transitions: RepairTransitions,
  index: number,
  repair: PlannerRepair,
  state: PlanState,
): void {
  const failure = 1 - (repair.successProbability ?? 1);
  const classAfter = Int32Array.from(problem.classes.keys());
  const factor = new Float64Array(problem.classes.length).fill(1);
  for (const { before, after, couldEnd } of transitions.changes[index] ?? []) {
    classAfter[before] = after;
    if (couldEnd) factor[before] = failure;
  }
  const weights = problem.weights.map((weight, i) => weight * (factor[problem.classOf[i] ?? 0] ?? 1));
  const classes = problem.classOf.map((id) => classAfter[id] ?? 0);
  fillPlanState(state, weights, classes);
}
