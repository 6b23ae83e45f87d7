import type { Random } from "../../base/random.js";
import type { CaseEntry, Instrument } from "../case/case.js";
import type { PreparedBoard } from "../prepare.js";
import { type Answer, type AnswerOptions, answer, firstReport } from "./answer.js";
import { type HiddenFault, powerOnAgain } from "./hidden-fault.js";
import type { BenchStart, Move, Policy, Standing, Truth } from "./policy.js";
import type { PracticeStep } from "./step.js";

export interface PlayOptions extends AnswerOptions {
  /** Answers from here on; the first report has been drawn before. */
  readonly random: Random;
  /** Steps after which the machine is handed to somebody else. */
  readonly maximumSteps?: number;
  /** Minutes, risk and money counted as minutes, after which it is handed over; the cost of that if absent. */
  readonly budgetMinutes?: number;
}

/** One step as it was taken. */
export interface StepTaken {
  /** Id of the step, as the plan names it. */
  readonly step: string;
  readonly answer: string;
  /** Work, without risk and money. */
  readonly minutes: number;
}

/** How a policy fared with a hidden fault. */
export interface Played {
  readonly truth: Truth & { readonly manifestation: string };
  /** What was reported at first. */
  readonly reported: readonly string[];
  readonly path: readonly StepTaken[];
  /** Work at the bench. */
  readonly minutes: number;
  readonly moneyAndRiskMinutes: number;
  /** All of it, and the cost of handing the machine over if it does not work. */
  readonly totalMinutes: number;
  /** Worst place of the true fault's group when measuring first ended; undefined if it never did. */
  readonly rank: number | undefined;
  /** Place of the true part itself at that moment. */
  readonly place: number | undefined;
  readonly firstThree: boolean;
  /** Steps taken before measuring first ended. */
  readonly stoppedAfter: number | undefined;
  readonly fixed: boolean;
}

/** Instruments in practice unless others are given. */
export const practiceInstruments: readonly Instrument[] = ["multimeter", "logic-probe"];

/** The log as it stands when work begins: what was reported, and the supply found safe. */
export function openingEntries(hidden: HiddenFault, random: Random): CaseEntry[] {
  return [...firstReport(hidden, random), { kind: "gate", id: "supply", state: "passed" }];
}

/** Lets a policy work until the machine works, it gives up, or steps or minutes run out. */
export function playPolicy(
  start: BenchStart,
  hidden: HiddenFault,
  policy: Policy,
  options: PlayOptions,
): Played {
  const { costs } = start.prepared.data;
  const maximum = options.maximumSteps ?? 40;
  const budget = options.budgetMinutes ?? costs.repairs.giveUp;
  const truth = truthOf(start.prepared, hidden);
  const path: StepTaken[] = [];
  let minutes = 0;
  let moneyAndRisk = 0;
  let fixed = false;
  let ended: { standing: Standing | undefined; after: number } | undefined;
  let current = hidden;
  const work = policy.work(start);
  let move: Move | undefined = proceed(work);
  while (move !== undefined && path.length < maximum && minutes + moneyAndRisk < budget) {
    if (move.stop && ended === undefined) ended = { standing: move.standingOf?.(truth), after: path.length };
    const given = answer(current, move.step, options.random, options);
    path.push({ step: nameOf(move.step), answer: given.shows, minutes: move.step.minutes });
    minutes += move.step.minutes;
    if (move.step.action === "repair") {
      moneyAndRisk += move.step.riskMinutes + move.step.money * costs.minutesPerPriceUnit;
      current = powerOnAgain(current, options.random);
    }
    fixed = given.fixed;
    move = fixed ? undefined : proceed(work, given);
  }
  const place = ended?.standing?.place;
  return {
    truth,
    reported: start.entries.flatMap((entry) => (entry.kind === "symptom" ? [entry.what] : [])),
    path,
    minutes,
    moneyAndRiskMinutes: moneyAndRisk,
    totalMinutes: minutes + moneyAndRisk + (fixed ? 0 : costs.repairs.giveUp),
    rank: ended?.standing?.worstInGroup,
    place,
    firstThree: place !== undefined && place <= 3,
    stoppedAfter: ended?.after,
    fixed,
  };
}

function proceed(work: Generator<Move, void, Answer>, given?: Answer): Move | undefined {
  const result = given === undefined ? work.next() : work.next(given);
  return result.done === true ? undefined : result.value;
}

/** The hidden fault as people would name it. */
export function truthOf(prepared: PreparedBoard, { fault }: HiddenFault): Played["truth"] {
  return {
    part: prepared.circuit.wiring.parts[fault.part]?.part.ref ?? "?",
    mode: fault.mode,
    detail: fault.detail,
    site: fault.site,
    manifestation: fault.manifestation,
  };
}

function nameOf(step: PracticeStep): string {
  return step.action === "reading" && step.at !== "" && !step.id.includes(step.at)
    ? `${step.id} at ${step.at}`
    : step.id;
}
