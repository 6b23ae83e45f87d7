import { BoardwakeError } from "../../core/base/errors.js";
import { nearestName } from "../../core/base/nearest.js";
import type { Problem } from "../../core/base/problem.js";

/** Problems that come of the state of a log, not of what was sent. */
const conflicts: readonly string[] = ["job-closed", "job-open", "entry-struck", "log-full", "board-fixed"];

/** Something a person gave that cannot be used; the problem says what, where, and what to do. Code: `input-invalid`. */
export class Refusal extends BoardwakeError {
  readonly problem: Problem;

  constructor(problem: Problem) {
    super("input-invalid", { problem: problem.message });
    this.problem = problem;
  }

  /** 409 for what the log does not allow now, 422 for what it never will. */
  override get httpStatus(): number {
    return conflicts.includes(this.problem.code) ? 409 : 422;
  }
}

/** Nearest known names that a hint offers: `X` of `Did you mean X?`. */
export function suggestionsOf(hint: string | undefined): string[] {
  const meant = /Did you mean '?(.+?)'?\?/.exec(hint ?? "")?.[1];
  return meant === undefined ? [] : [meant];
}

/** `Did you mean X?`, or what else to say where nothing is near. */
export function nearestHint(name: string, known: Iterable<string>, otherwise: string): string {
  const near = nearestName(name, known);
  return near === undefined ? otherwise : `Did you mean '${near}'?`;
}

/** Code, sentence and remedy of an error, the same on the command line and over HTTP. */
export function tellError(error: BoardwakeError): {
  readonly code: string;
  readonly message: string;
  readonly hint?: string;
} {
  if (!(error instanceof Refusal)) return { code: error.code, message: error.message };
  const { code, message, hint } = error.problem;
  return hint === undefined ? { code, message } : { code, message, hint };
}
