import type { CaseEntry, Instrument } from "../case/case.js";
import { type FindCosts, type RepairKind, repairCost, type TestKind } from "../plan/costs.js";
import type { PreparedBoard } from "../prepare.js";
import type { Answer } from "./answer.js";
import type { PracticeStep, ReadingAsked, RepairAsked } from "./step.js";

/** What a policy starts from. */
export interface BenchStart {
  readonly prepared: PreparedBoard;
  readonly instruments: readonly Instrument[];
  /** First report and the passed gate. */
  readonly entries: readonly CaseEntry[];
}

/** Where the true part stands when measuring ends; 1 is the first place. */
export interface Standing {
  /** By the chance that the part is at fault; equal chances share the worst place. */
  readonly place: number;
  /** Worst place of all parts in the true fault's group, which nothing measured from outside can tell apart. */
  readonly worstInGroup: number;
}

/** The fault as people would name it. */
export interface Truth {
  readonly part: string;
  readonly mode: string;
  readonly detail: string;
  readonly site: string;
}

export interface Move {
  readonly step: PracticeStep;
  /** True if replacing now beats every reading, or the step is a repair. */
  readonly stop: boolean;
  /** For policies that rank suspects. */
  readonly standingOf?: (truth: Truth) => Standing;
}

/** A way of working: yields moves, is told the answers, and returns when it gives up. */
export interface Policy {
  readonly name: string;
  readonly title: string;
  work(start: BenchStart): Generator<Move, void, Answer>;
}

/** A repair as a step, with its costs. */
export function repairStep(prepared: PreparedBoard, ref: string, kind: RepairKind): RepairAsked {
  const { wiring } = prepared.circuit;
  const part = wiring.parts[wiring.partIndex.get(ref) ?? -1];
  if (part === undefined) throw new RangeError(`there is no part ${ref}`);
  const { minutes, money, riskMinutes } = repairCost(prepared.data.costs, part, kind, false);
  return { action: "repair", id: `${kind}:${ref}`, part: ref, repair: kind, minutes, money, riskMinutes };
}

/** A reading as a step, with its minutes. */
export function readingStep(
  costs: FindCosts,
  kind: TestKind,
  id: string,
  at: string,
  instrument: Instrument | "none",
  powered: boolean,
): ReadingAsked {
  const minutes = costs.tests[kind] + (powered ? 0 : costs.switchOff);
  return { action: "reading", id, at, with: instrument, minutes };
}
