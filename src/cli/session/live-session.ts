import { describeEntry, instrumentNames } from "../../app/describe-entry.js";
import type { FindSession, LogLine } from "../../app/find-session.js";
import { ownedInstruments } from "../../app/instruments.js";
import type { Command } from "../../app/line/command.js";
import type { Misread } from "../../app/line/context.js";
import { readLine } from "../../app/line/read-line.js";
import { renderLog } from "../../app/log-text.js";
import { BoardwakeError } from "../../core/base/errors.js";
import { renderProblem } from "../../core/base/problem.js";
import type { CaseEntry } from "../../core/find/case/case.js";
import type { NextStep } from "../../core/find/result/result.js";
import { type CliContext, exitCodes, paintFor, printLines } from "../context.js";
import { doneLines, isMostlyDone, renderNotices } from "../render/found.js";
import { answerLetter, renderStep, stepLine } from "../render/step.js";
import { renderGroups, renderSuspects, renderWhy } from "../render/suspects.js";
import { renderSymptomMenu } from "../render/symptoms.js";
import { type Paint, padStart, sentence, wrap } from "../text.js";
import { readNumbers } from "./choose.js";
import { sessionHelp } from "./help-text.js";

/** A session in the terminal: asks for symptoms, then shows step after step and takes what the user answers. */
export class LiveSession {
  private readonly context: CliContext;
  private readonly session: FindSession;
  private readonly paint: Paint;
  /** File the log goes to after each entry; none until the user names one. */
  private file: string | undefined;
  private isSaved = true;
  /** Position of the step on show. */
  private chosen = 0;

  /** `file` is where the log came from and goes to; none for a new one. */
  constructor(context: CliContext, session: FindSession, file: string | undefined) {
    this.context = context;
    this.session = session;
    this.paint = paintFor(context.io);
    this.file = file;
  }

  /** Runs until the user leaves or the input ends; returns the exit code. */
  async run(options: { readonly asksInstruments: boolean }): Promise<number> {
    const { board } = this.session.prepared;
    this.print([this.paint.bold(board.title), "Type 'help' for what can be typed, 'quit' to leave.", ""]);
    if (this.session.log.entries.length === 0 && !(await this.askSymptoms())) return this.leave();
    if (options.asksInstruments && !(await this.askInstruments())) return this.leave();
    this.showRanking(false);
    this.showStep();
    for (;;) {
      const line = await this.context.io.readLine("> ");
      if (line === undefined) return this.leave();
      if (await this.take(line.trim())) return exitCodes.done;
    }
  }

  private print(lines: readonly string[]): void {
    printLines(this.context.io, lines);
  }

  private async askSymptoms(): Promise<boolean> {
    const { symptoms } = this.session;
    this.print(["What does the machine do?", ...renderSymptomMenu(symptoms, this.paint)]);
    const chosen = await this.choose("Numbers, or Enter if unknown: ", symptoms.length);
    if (chosen === undefined) return false;
    this.enter(
      chosen.flatMap((i) => {
        const symptom = symptoms[i];
        return symptom === undefined ? [] : [{ kind: "symptom" as const, what: symptom.id }];
      }),
    );
    return true;
  }

  private async askInstruments(): Promise<boolean> {
    const names = ownedInstruments.map(
      (tool, i) => `${padStart(String(i + 1), 3)}  ${instrumentNames[tool]}`,
    );
    this.print(["", "What have you got at hand?", ...names]);
    const chosen = await this.choose("Numbers, or Enter for multimeter and probe: ", ownedInstruments.length);
    if (chosen === undefined) return false;
    const tools = chosen.flatMap((i) => ownedInstruments[i] ?? []);
    if (tools.length > 0) this.session.takeInstruments(tools);
    this.print([""]);
    return true;
  }

  /** Positions chosen from a list; undefined at the end of the input. */
  private async choose(prompt: string, count: number): Promise<readonly number[] | undefined> {
    for (;;) {
      const line = await this.context.io.readLine(prompt);
      if (line === undefined) return undefined;
      const choice = readNumbers(line, count);
      if (choice.kind === "chosen") return choice.positions;
      this.print(wrap(choice.message));
    }
  }

  /** Takes one line; true if the session is over. */
  private async take(line: string): Promise<boolean> {
    const { session } = this;
    const step = this.step();
    if (line === "") {
      this.showStep();
      return false;
    }
    if (/^[a-z]$/i.test(line) && step !== undefined) {
      const answer = session.answers(step).find((_, i) => answerLetter(i) === line.toLowerCase());
      if (answer !== undefined) {
        this.enter([answer.entry], true);
        return false;
      }
    }
    if (/^\d+$/.test(line)) {
      this.chooseStep(Number(line));
      return false;
    }
    const meaning = readLine(line, session.lineContext);
    switch (meaning.kind) {
      case "entry":
        this.enter([meaning.entry], true);
        return false;
      case "misread":
        this.complain(meaning);
        return false;
      case "command":
        return this.obey(meaning.command);
    }
  }

  private async obey(command: Command): Promise<boolean> {
    const { session, paint } = this;
    switch (command.name) {
      case "help":
        this.print(sessionHelp.map((line) => `  ${line}`));
        return false;
      case "suspects":
        this.print(renderSuspects(session.result, { count: 20, withModes: 5 }, paint));
        return false;
      case "groups": {
        const groups = renderGroups(session.result, 10);
        this.print(groups.length === 0 ? ["All suspects can be told apart from outside."] : groups);
        return false;
      }
      case "next":
        this.showStep();
        return false;
      case "log":
        this.print(session.lines().flatMap((one) => this.logLine(one)));
        return false;
      case "symptoms":
        this.print(session.symptoms.flatMap(({ id, wording }) => wrap(wording, `  ${id}: `, "    ")));
        return false;
      case "why": {
        const suspect = session.suspect(command.part);
        if ("message" in suspect) this.complain(suspect);
        else this.print(renderWhy(suspect, paint));
        return false;
      }
      case "undo": {
        const taken = session.undo();
        if (taken === undefined) this.print(["There is nothing to take back."]);
        else this.afterChange(`Taken back: ${this.describe(taken.entry)}`);
        return false;
      }
      case "strike": {
        const struck = session.strike(command.entry);
        if ("message" in struck) this.complain(struck);
        else this.afterChange(`Struck out: ${this.describe(struck.entry)}`);
        return false;
      }
      case "save":
        this.save(command.file, command.overwrite);
        return false;
      case "quit":
        return this.mayLeave();
    }
  }

  /** Puts entries in the log, or says why not. */
  private enter(entries: readonly CaseEntry[], shows = false): void {
    if (entries.length === 0) return;
    const problems = this.session.add(entries);
    for (const problem of problems) this.print(wrap(renderProblem({ ...problem, where: {} })));
    if (problems.length > 0) return;
    this.isSaved = false;
    if (shows) this.afterChange(`Logged: ${entries.map((entry) => this.describe(entry)).join("; ")}`);
  }

  private afterChange(says: string): void {
    this.isSaved = false;
    this.chosen = 0;
    this.print(wrap(this.paint.green(says)));
    if (this.file !== undefined) this.write(this.file);
    this.print([""]);
    this.showRanking(true);
    this.showStep();
  }

  private showRanking(moves: boolean): void {
    const { result, before } = this.session;
    const view = { count: 6, withModes: 1, ...(moves ? { before } : {}) };
    this.print(renderNotices(this.session, this.paint));
    this.print([this.paint.bold("Suspects"), ...renderSuspects(result, view, this.paint), ""]);
  }

  /** The step on show; with a failed supply check the first thing after it, since asking again tells nothing. */
  private step(): NextStep | undefined {
    const { next, supplyGate } = this.session.result;
    const first = supplyGate.state === "failed" && next[0]?.action === "gate" && next.length > 1 ? 1 : 0;
    return next[Math.max(this.chosen, this.chosen === 0 ? first : 0)];
  }

  private showStep(): void {
    const step = this.step();
    if (step === undefined) {
      this.print(["No step is left that would tell anything more."]);
      return;
    }
    const { session, paint } = this;
    if (this.chosen === 0 && isMostlyDone(session.result)) {
      this.print(doneLines(step, paint));
      return;
    }
    this.print(renderStep(step, session.answers(step), session.prepared.board, paint));
    const others = session.result.next.flatMap((other, i) => (other === step ? [] : [{ other, i }]));
    for (const { other, i } of others.slice(0, 3))
      this.print(wrap(stepLine(other), `   ${paint.dim(String(i + 1))}  `).map(paint.dim));
  }

  private chooseStep(number: number): void {
    const { next } = this.session.result;
    if (next[number - 1] === undefined) this.print([`There are ${next.length} steps to choose from.`]);
    else {
      this.chosen = number - 1;
      this.showStep();
    }
  }

  private describe(entry: CaseEntry): string {
    return describeEntry(entry, this.session.symptoms);
  }

  private logLine({ number, entry, struck }: LogLine): string[] {
    const text = `${this.describe(entry)}${struck ? " (struck out)" : ""}`;
    return wrap(text, ` ${padStart(String(number), 3)}  `);
  }

  private complain({ message, hint }: Misread): void {
    this.print(wrap(`${sentence(message)}${hint === undefined ? "" : ` ${hint}`}`));
  }

  private save(file: string, overwrite: boolean): boolean {
    const { files } = this.context.store;
    if (files.isFile(file) && file !== this.file && !overwrite) {
      this.print(wrap(`'${file}' is there already. Type 'overwrite ${file}' to replace it.`));
      return false;
    }
    if (!this.write(file)) return false;
    this.file = file;
    this.print(wrap(`Saved to ${file}; from now on after each entry.`));
    return true;
  }

  private write(file: string): boolean {
    try {
      this.context.store.files.write([{ file, text: renderLog(this.session.log) }]);
      this.isSaved = true;
      return true;
    } catch (error) {
      if (!(error instanceof BoardwakeError)) throw error;
      this.print(wrap(error.message));
      return false;
    }
  }

  /** Asks what to do with a log that is on no disk; true if the session may end. */
  private async mayLeave(): Promise<boolean> {
    if (this.isSaved) return true;
    const line = await this.context.io.readLine("Not saved. File name, or Enter to drop the log: ");
    if (line === undefined || line.trim() === "") return true;
    return this.save(line.trim(), false);
  }

  /** The input has ended: nobody can be asked any more. */
  private leave(): number {
    if (!this.isSaved) this.context.io.err("The input ended; the log was not saved.\n");
    return exitCodes.done;
  }
}
