import type { Parsed } from "../core/base/problem.js";
import { createRandom, type Random } from "../core/base/random.js";
import { answer } from "../core/find/practice/answer.js";
import { drawFault, type HiddenFault, powerOnAgain } from "../core/find/practice/hidden-fault.js";
import { openingEntries, practiceInstruments, truthOf } from "../core/find/practice/play.js";
import type { PracticeStep } from "../core/find/practice/step.js";
import { createWorld } from "../core/find/practice/world.js";
import type { PreparedBoard } from "../core/find/prepare.js";
import type { FindResult, NextStep } from "../core/find/result/result.js";
import type { Store } from "../store/store.js";
import { describeEntry } from "./describe-entry.js";
import { prepareFind } from "./find-faults.js";
import { FindSession } from "./find-session.js";
import type { Misread } from "./line/context.js";
import { readAsk } from "./line/read-ask.js";
import type { ListedSymptom } from "./list-symptoms.js";
import type { LoadedBoard } from "./load-board.js";

/** What the simulated machine answered. */
export interface PracticeReply {
  readonly says: string;
  readonly minutes: number;
  /** True if the machine works now. */
  readonly fixed: boolean;
}

/** A simulated machine with a hidden fault, on the bench of somebody who practises. */
export class PracticeGame {
  readonly session: FindSession;
  /** Work so far. */
  minutes = 0;
  private hidden: HiddenFault;
  private readonly random: Random;

  private constructor(session: FindSession, hidden: HiddenFault, random: Random) {
    this.session = session;
    this.hidden = hidden;
    this.random = random;
  }

  /** Hides the fault that `practise` hides for this seed; what is reported is in the session's log. */
  static open(store: Store, loaded: LoadedBoard, seed: number): Parsed<PracticeGame> {
    const prepared = prepareFind(store, loaded);
    const hidden = drawFault(createWorld(prepared), createRandom(seed), { by: "prior", onlyShowing: true });
    const random = createRandom(Math.imul(seed, 2654435761) + 1);
    const entries = openingEntries(hidden, random);
    const opened = FindSession.open(prepared, {
      board: loaded.board.id,
      instruments: [...practiceInstruments],
      entries,
    });
    if (opened.value === undefined) return { problems: opened.problems };
    return { value: new PracticeGame(opened.value, hidden, random), problems: [] };
  }

  get prepared(): PreparedBoard {
    return this.session.prepared;
  }

  get symptoms(): readonly ListedSymptom[] {
    return this.session.symptoms;
  }

  /** What the plan makes of the log so far. */
  get result(): FindResult {
    return this.session.result;
  }

  /** The hidden fault, for when the game is over. */
  get truth(): ReturnType<typeof truthOf> {
    return truthOf(this.prepared, this.hidden);
  }

  /** Does what a typed line asks; a sentence if it asks for nothing. */
  ask(line: string): PracticeReply | Misread {
    const step = readAsk(line, this.prepared, practiceInstruments);
    return "message" in step ? step : this.take(step);
  }

  /** Does a step that the plan proposed; the supply check of a simulated machine is passed already. */
  takeProposed(step: NextStep): PracticeReply {
    if (step.action === "gate") return { says: "The supply is safe.", minutes: 0, fixed: false };
    return this.take(step);
  }

  private take(step: PracticeStep): PracticeReply {
    const given = answer(this.hidden, step, this.random);
    const problems = this.session.add([given.entry]);
    const [problem] = problems;
    if (problem !== undefined)
      throw new RangeError(`the simulated machine's answer was refused: ${problem.message}`);
    this.minutes += step.minutes;
    if (step.action === "repair" && !given.fixed) this.hidden = powerOnAgain(this.hidden, this.random);
    return { says: describeEntry(given.entry, this.symptoms), minutes: step.minutes, fixed: given.fixed };
  }
}
