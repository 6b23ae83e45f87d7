import type { Case } from "../../core/find/case/case.js";
import { findFaults } from "../../core/find/find.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import type { FindResult } from "../../core/find/result/result.js";
import type { Findings } from "../api/findings.js";
import { type FindOutput, findOutput } from "../output/find-output.js";
import type { PlaceFinder } from "./places.js";
import { stepView } from "./step-view.js";

/** What findings are made from. */
export interface FindingsOrder {
  readonly job: string;
  readonly revision: number;
  readonly case: Case;
  /** Ids of steps that cannot be done here. */
  readonly cannot: readonly string[];
}

const usualSteps = 5;
const leadingCount = 12;
const fullSuspects = 12;
const leastProbability = 2e-4;
const shownGroups = 10;
const shownMembers = 12;

/** Works a log out. What speaks for a suspect is weighed when its why page asks. */
export function workOut(prepared: PreparedBoard, { case: logged, cannot }: FindingsOrder): FindResult {
  return findFaults(prepared, logged, { steps: usualSteps, excluded: cannot, explained: 0 });
}

/** Findings as the page gets them. */
export function findingsView(
  prepared: PreparedBoard,
  { job, revision }: FindingsOrder,
  result: FindResult,
  previous: Findings["previous"],
  finder: PlaceFinder,
): Findings {
  return {
    job,
    revision,
    result: rounded(trimmed(findOutput({ result, prepared }, result.problems))),
    steps: result.next.map((step) => stepView(step, result, prepared.data.model, finder)),
    previous,
  };
}

/** Leading suspects, to be compared with those after the next entry. */
export function leadingOf(result: FindResult): Findings["previous"] {
  return result.suspects.slice(0, leadingCount).map(({ part, probability }) => ({ part, probability }));
}

/**
 * Without what no page shows: suspects far below one in a thousand, the rarer modes of those behind the first, and the
 * long tails of groups. A tenth of the size, which counts on a tablet at every tap.
 */
function trimmed(output: FindOutput): FindOutput {
  return {
    ...output,
    suspects: output.suspects
      .filter(({ probability }, rank) => rank < fullSuspects || probability >= leastProbability)
      .map((suspect, rank) =>
        rank < fullSuspects ? suspect : { ...suspect, modes: suspect.modes.slice(0, 1), evidence: [] },
      ),
    groups: output.groups
      .slice(0, shownGroups)
      .map((group) => ({ ...group, members: group.members.slice(0, shownMembers) })),
  };
}

/** The same with six significant digits, which is far below what the figures can mean and half the size. */
function rounded<T>(value: T): T;
function rounded(value: unknown): unknown {
  if (typeof value === "number") return Number.isInteger(value) ? value : Number(value.toPrecision(6));
  if (Array.isArray(value)) return value.map((item: unknown) => rounded(item));
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, rounded(item)]));
}
