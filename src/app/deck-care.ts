import { nearestName } from "../core/base/nearest.js";
import { type CareList, type CareTask, careSteps, careTasks } from "../core/deck/care.js";
import { usage } from "./usage.js";

/** Tasks that there are steps for. */
export const careTaskNames: readonly CareTask[] = careTasks;

/** The steps of the task a user names. Throws `usage` if there is none. */
export function findCare(name: string): CareList {
  const task = careTasks.find((known) => known === name);
  if (task !== undefined) return careSteps(task);
  const near = nearestName(name, careTasks);
  const meant = near === undefined ? "" : ` Did you mean '${near}'?`;
  throw usage(`There are no steps for '${name}'.${meant} Tasks: ${careTasks.join(", ")}.`);
}
