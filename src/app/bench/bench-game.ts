import { createRandom, type Random } from "../../core/base/random.js";
import type { Case, CaseEntry } from "../../core/find/case/case.js";
import { answer } from "../../core/find/practice/answer.js";
import { drawFault, type HiddenFault, powerOnAgain } from "../../core/find/practice/hidden-fault.js";
import { openingEntries, practiceInstruments } from "../../core/find/practice/play.js";
import { repairStep } from "../../core/find/practice/policy.js";
import type { PracticeStep as Step } from "../../core/find/practice/step.js";
import { createWorld } from "../../core/find/practice/world.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import type { NextStep } from "../../core/find/result/result.js";
import type { PracticeAnswer, PracticeStep, PracticeView } from "../api/practice.js";
import type { BoardSource } from "../boards/board-source.js";
import { describeEntry } from "../describe-entry.js";
import type { Misread } from "../line/context.js";
import { readAsk } from "../line/read-ask.js";
import { type ListedSymptom, symptomsOfModel } from "../list-symptoms.js";
import { describeFault } from "./fault-words.js";
import { workOut } from "./findings-view.js";
import { type PlaceFinder, placesOfAsk } from "./places.js";

/** What a game is made from: the same order is the same game, answers included. */
export interface GameOrder {
  readonly id: string;
  readonly board: string;
  /** What the board is made from, where it is no installed one as it came. */
  readonly source?: BoardSource | undefined;
  readonly seed: number;
  /** Everything asked so far that was understood, in order. */
  readonly asked: readonly PracticeStep[];
  readonly gaveUp: boolean;
}

/** A simulated machine with a hidden fault that somebody looks for in the page. */
export class BenchGame {
  private current: HiddenFault;
  private currentOrder: GameOrder;
  private readonly prepared: PreparedBoard;
  private readonly finder: PlaceFinder;
  private readonly symptoms: readonly ListedSymptom[];
  private readonly random: Random;
  private readonly entries: CaseEntry[];
  private readonly steps: PracticeView["steps"] = [];
  private minutes = 0;
  private isFixed = false;

  /** Hides the fault that the tool's own game hides for this seed. */
  constructor(prepared: PreparedBoard, finder: PlaceFinder, order: GameOrder) {
    this.prepared = prepared;
    this.finder = finder;
    this.currentOrder = order;
    this.symptoms = symptomsOfModel(prepared.data.model, prepared.board);
    this.current = drawHidden(prepared, order.seed);
    this.random = answerRandom(order.seed);
    this.entries = openingEntries(this.current, this.random);
  }

  /** What the game is made from, with everything asked so far. */
  get order(): GameOrder {
    return this.currentOrder;
  }

  /** Ends the game without the fault being found. */
  giveUp(): void {
    this.currentOrder = { ...this.currentOrder, gaveUp: true };
  }

  get fixed(): boolean {
    return this.isFixed;
  }

  /** What was reported, and every answer since, as a log. */
  get case(): Case {
    const { id } = this.prepared.board;
    return { board: id, instruments: [...practiceInstruments], entries: this.entries };
  }

  /**
   * Does what is asked and adds it to the order if the order does not hold it yet (`isNew`); a sentence if it asks for
   * nothing that can be done.
   */
  ask(asked: PracticeStep, isNew: boolean): Omit<PracticeAnswer, "game"> | Misread {
    const step = this.stepOf(asked);
    if ("message" in step) return step;
    const given = answer(this.current, step, this.random);
    this.entries.push(given.entry);
    this.minutes += step.minutes;
    if (step.action === "repair" && !given.fixed) this.current = powerOnAgain(this.current, this.random);
    this.isFixed = given.fixed;
    const says = describeEntry(given.entry, this.symptoms);
    const [place = null] = placesOfAsk(this.finder, step);
    this.steps.push({ asked: askedWords(asked, step), says, minutes: step.minutes, place });
    if (isNew) this.currentOrder = { ...this.order, asked: [...this.order.asked, asked] };
    return { answer: says, minutes: step.minutes, fixed: given.fixed };
  }

  /** What the plan would do next; undefined if it has nothing left. */
  proposed(): Exclude<NextStep, { action: "gate" }> | undefined {
    const order = { job: this.order.id, revision: 0, case: this.case, cannot: [] };
    const { next } = workOut(this.prepared, order);
    return next.find((step) => step.action !== "gate");
  }

  view(): PracticeView {
    const { id, board, seed, gaveUp } = this.order;
    const isOver = this.isFixed || gaveUp;
    return {
      id,
      board,
      boardTitle: this.prepared.board.title,
      seed,
      state: this.isFixed ? "fixed" : gaveUp ? "given-up" : "open",
      complaint: this.entries
        .slice(0, this.entries.length - this.steps.length)
        .filter(({ kind }) => kind === "symptom")
        .map((entry) => describeEntry(entry, this.symptoms)),
      minutes: this.minutes,
      observables: observablesOf(this.symptoms),
      steps: this.steps.map((step) => ({ ...step })),
      truth: isOver ? this.truth() : null,
    };
  }

  /** The hidden fault; for when the game is over. */
  truth(): NonNullable<PracticeView["truth"]> {
    const { fault } = this.current;
    const part = this.prepared.circuit.wiring.parts[fault.part];
    return {
      part: part?.part.ref ?? "?",
      type: part?.part.type ?? "?",
      mode: fault.mode,
      says: describeFault(fault),
    };
  }

  private stepOf(asked: PracticeStep): Step | Misread {
    if ("text" in asked) return this.read(asked.text);
    if ("at" in asked) {
      // Two pins and a rail are named as the log names them, which the reader of typed lines takes as well.
      const at = asked.at.replace(/^net:/, "");
      return this.read(asked.with === undefined ? at : `${at} ${asked.with}`);
    }
    if ("repair" in asked) return this.repair(asked.part, asked.repair);
    const step = this.proposed();
    if (step === undefined) return { message: "the plan has nothing left to do" };
    if (step.action === "repair") return repairStep(this.prepared, step.part, step.repair);
    const { id, at, with: tool, minutes } = step;
    return { action: "reading", id, at, with: tool, minutes };
  }

  private repair(part: string, repair: string): Step | Misread {
    if (repair === "reseat" && !this.isSocketed(part))
      return { message: `${part} is soldered in and cannot be reseated`, hint: "Resolder or replace it." };
    return this.read(`${repair} ${part}`);
  }

  private isSocketed(ref: string): boolean {
    const part = this.prepared.board.parts.find((one) => one.ref === ref);
    return part === undefined || part.socketed === true;
  }

  private read(line: string): Step | Misread {
    return readAsk(line, this.prepared, practiceInstruments);
  }
}

/** The fault that a seed hides on a board. */
export function drawHidden(prepared: PreparedBoard, seed: number): HiddenFault {
  return drawFault(createWorld(prepared), createRandom(seed), { by: "prior", onlyShowing: true });
}

/** Source of the answers that belong to a seed. */
export function answerRandom(seed: number): Random {
  return createRandom(Math.imul(seed, 2654435761) + 1);
}

function askedWords(asked: PracticeStep, step: Step): string {
  if ("text" in asked) return asked.text.trim();
  if ("at" in asked) return asked.with === undefined ? asked.at : `${asked.at}, ${asked.with}`;
  if ("repair" in asked) return `${asked.repair} ${asked.part}`;
  return step.action === "repair" ? `${step.repair} ${step.part}` : `${step.at}, ${step.with}`;
}

function observablesOf(symptoms: readonly ListedSymptom[]): PracticeView["observables"] {
  const titles = new Map(symptoms.map(({ observable, title }) => [observable, title]));
  return [...titles].map(([id, title]) => ({ id, title }));
}
