import type { Parsed, Problem } from "../core/base/problem.js";
import type { Case, CaseEntry } from "../core/find/case/case.js";
import { type FindOptions, findFaults } from "../core/find/find.js";
import type { PreparedBoard } from "../core/find/prepare.js";
import type { FindResult, NextStep, Suspect } from "../core/find/result/result.js";
import { impossibleValues } from "./impossible-values.js";
import type { LineContext, Misread } from "./line/context.js";
import { type ListedSymptom, symptomsOfModel } from "./list-symptoms.js";
import { answersOf, type StepAnswer } from "./step-answers.js";

/** An entry of the log as a person looks it through. */
export interface LogLine {
  /** The first is 1. */
  readonly number: number;
  readonly entry: CaseEntry;
  /** True if a later entry strikes it out. */
  readonly struck: boolean;
}

/**
 * A log being kept: each new entry is worked out at once, and one that cannot be placed on the board is refused and
 * leaves no trace. Entries are only added; taking one back adds an entry that strikes it out.
 */
export class FindSession {
  readonly prepared: PreparedBoard;
  readonly symptoms: readonly ListedSymptom[];
  private readonly options: FindOptions;
  private current: Case;
  private worked: FindResult;
  private earlier: FindResult;

  private constructor(prepared: PreparedBoard, log: Case, worked: FindResult, options: FindOptions) {
    this.prepared = prepared;
    this.symptoms = symptomsOfModel(prepared.data.model, prepared.board);
    this.options = options;
    this.current = log;
    this.worked = worked;
    this.earlier = worked;
  }

  /** Starts from a log, which may be empty. The value is absent if entries of it cannot be placed. */
  static open(prepared: PreparedBoard, log: Case, options: FindOptions = {}): Parsed<FindSession> {
    const worked = work(prepared, log, options);
    if ("problems" in worked) return worked;
    return { value: new FindSession(prepared, log, worked.result, options), problems: [] };
  }

  get log(): Case {
    return this.current;
  }

  /** What the log comes to. */
  get result(): FindResult {
    return this.worked;
  }

  /** What it came to before the last change. */
  get before(): FindResult {
    return this.earlier;
  }

  /** Context for reading typed lines. */
  get lineContext(): LineContext {
    const { circuit } = this.prepared;
    return { circuit, symptoms: this.symptoms, instruments: this.current.instruments };
  }

  /** Adds entries, all or none; problems of those that cannot be placed. */
  add(entries: readonly CaseEntry[]): readonly Problem[] {
    return this.change({ ...this.current, entries: [...this.current.entries, ...entries] });
  }

  /** Says which instruments are at hand. */
  takeInstruments(instruments: Case["instruments"]): void {
    this.change({ ...this.current, instruments });
  }

  /** Strikes the last standing entry out and returns it; undefined if none is left. */
  undo(): LogLine | undefined {
    const last = this.lines()
      .filter(({ entry, struck }) => !struck && entry.kind !== "strike")
      .at(-1);
    if (last !== undefined) this.add([{ kind: "strike", entry: last.number }]);
    return last;
  }

  /** Strikes an entry out by its number; a sentence if there is none that still stands. */
  strike(number: number): LogLine | Misread {
    const line = this.lines().find((one) => one.number === number);
    if (line === undefined) return { message: `there is no entry ${number}`, hint: "'log' lists them." };
    if (line.struck) return { message: `entry ${number} is struck out already` };
    this.add([{ kind: "strike", entry: number }]);
    return line;
  }

  /** The log with struck entries marked. */
  lines(): LogLine[] {
    const struck = new Set<number>();
    const numbered = this.current.entries.map((entry, i) => ({ number: i + 1, entry }));
    for (const { number, entry } of [...numbered].reverse())
      if (entry.kind === "strike" && !struck.has(number)) struck.add(entry.entry);
    return numbered.map((line) => ({ ...line, struck: struck.has(line.number) }));
  }

  /** Answers that one of the proposed steps can have. */
  answers(step: NextStep): StepAnswer[] {
    return answersOf(step, this.prepared.data.model);
  }

  /** The suspect of that name; a sentence if the part is unknown or beyond suspicion. */
  suspect(name: string): Suspect | Misread {
    const { suspects } = this.worked;
    const found = suspects.find((suspect) => suspect.part.toUpperCase() === name.toUpperCase());
    if (found !== undefined) return found;
    const part = this.prepared.board.parts.find(({ ref }) => ref.toUpperCase() === name.toUpperCase());
    if (part !== undefined) return { message: `${part.ref} is as good as cleared by what the log holds` };
    return { message: `there is no part called '${name}' on ${this.prepared.board.title}` };
  }

  private change(log: Case): readonly Problem[] {
    if (
      log.entries.slice(this.current.entries.length).every(tellsNothing) &&
      log.instruments === this.current.instruments
    ) {
      this.current = log;
      return [];
    }
    const worked = work(this.prepared, log, this.options);
    if ("problems" in worked) return worked.problems;
    this.earlier = this.worked;
    this.worked = worked.result;
    this.current = log;
    return [];
  }
}

/** Works a log out, or says everything that cannot be placed or cannot be. */
function work(
  prepared: PreparedBoard,
  log: Case,
  options: FindOptions,
): { readonly result: FindResult } | { readonly problems: readonly Problem[] } {
  const impossible = impossibleValues(log, prepared.board);
  if (impossible.length > 0) return { problems: impossible };
  const result = findFaults(prepared, log, options);
  return result.problems.length > 0 ? { problems: result.problems.map(asSentence) } : { result };
}

/** True for entries that no reasoning looks at. */
function tellsNothing({ kind }: CaseEntry): boolean {
  return kind === "note" || kind === "photo";
}

/** Messages of the reasoning begin in lower case and end bare, to be put into sentences. */
function asSentence(problem: Problem): Problem {
  const { message } = problem;
  const end = /[.!?]$/.test(message) ? "" : ".";
  return { ...problem, message: `${message.charAt(0).toUpperCase()}${message.slice(1)}${end}` };
}
