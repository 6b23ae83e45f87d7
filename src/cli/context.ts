import type { Store } from "../app/passed-in.js";
import { type Problem, renderProblem } from "../core/base/problem.js";
import type { BenchDoor } from "./bench-door.js";
import type { CliIo } from "./io.js";
import { renderJson } from "./json.js";
import { createPaint, type Paint } from "./text.js";

/** Exit codes of the command line; `docs/guide/errors.md` explains them. */
export const exitCodes = { done: 0, problemFound: 1, usage: 2, unusableInput: 3, internal: 4 } as const;

/** What a command works with. */
export interface CliContext {
  readonly io: CliIo;
  readonly store: Store;
  readonly bench: BenchDoor;
  readonly version: string;
}

/** Colours as the output takes them. */
export function paintFor({ hasColour }: CliIo): Paint {
  return createPaint(hasColour);
}

/** Writes lines to the output. */
export function printLines(io: CliIo, lines: readonly string[]): void {
  io.out(lines.map((line) => `${line}\n`).join(""));
}

/** Tells a waiting person that something takes a moment; says nothing to a script. */
export function sayWorking(io: CliIo): void {
  if (io.isInteractive) io.err("Making the board ready …\n");
}

/** Writes problems to the error stream, one a line. */
export function reportProblems(io: CliIo, problems: readonly Problem[]): void {
  for (const problem of problems) io.err(`${renderProblem(problem)}\n`);
}

/**
 * Ends a command whose input cannot be used: each problem is a line on the error stream, and with `json` all of them
 * stand in `problems` on the output. Returns the exit code.
 */
export function refuseInput(io: CliIo, problems: readonly Problem[], isJson: boolean): number {
  reportProblems(io, problems);
  if (isJson) io.out(renderJson({ problems }));
  return exitCodes.unusableInput;
}

/** Text below a command's help. */
export function examples(...lines: readonly string[]): string {
  return ["", "Examples:", ...lines.map((line) => `  ${line}`)].join("\n");
}
