import type { Problem, ProblemPlace } from "../../base/problem.js";

/** What the user can do next, or how to find out. */
export type Hint = string | (() => string | undefined);

/** Collects problems for one file, up to a stated number: a damaged file must not fill the screen or the memory. */
export interface ProblemList {
  /** Adds an error; `hint` says what the user can do next, and is only computed for problems that are kept. */
  error(code: string, message: string, place?: ProblemPlace, hint?: Hint): void;
  /** Adds a warning; `hint` as for errors. */
  warning(code: string, message: string, place?: ProblemPlace, hint?: Hint): void;
  /** Adds problems found elsewhere, with their own places. */
  addAll(problems: readonly Problem[]): void;
  /** True once an error (not merely a warning) was added. */
  hasErrors(): boolean;
  /** Everything collected, in order; the last entry says so if some were left out. */
  all(): readonly Problem[];
}

/** Problems kept for one file before the rest is only counted. */
export const maximumProblems = 200;

/** An empty list whose problems carry `file`, if one is given. */
export function createProblemList(file?: string, maximum: number = maximumProblems): ProblemList {
  const kept: Problem[] = [];
  let leftOut = 0;
  let errors = 0;
  const add = (severity: "error" | "warning", problem: () => Problem): void => {
    if (severity === "error") errors += 1;
    if (kept.length < maximum) kept.push(problem());
    else leftOut += 1;
  };
  const fileOnly: ProblemPlace = file === undefined ? {} : { file };
  const make =
    (severity: "error" | "warning") =>
    (code: string, message: string, place: ProblemPlace = {}, hint?: Hint): void =>
      add(severity, () => {
        const text = typeof hint === "function" ? hint() : hint;
        return {
          code,
          severity,
          message,
          where: { ...fileOnly, ...place },
          ...(text === undefined ? {} : { hint: text }),
        };
      });
  return {
    error: make("error"),
    warning: make("warning"),
    addAll(problems) {
      for (const problem of problems) add(problem.severity, () => problem);
    },
    hasErrors: () => errors > 0,
    all() {
      if (leftOut === 0) return kept;
      return [
        ...kept,
        {
          code: "too-many-problems",
          severity: "warning",
          message: `${leftOut} more problems are not listed.`,
          where: fileOnly,
          hint: "Mend the first ones and read the file again.",
        },
      ];
    },
  };
}

/** `text` in single quotes, cut to a readable length, with line breaks made visible. */
export function quoted(text: string): string {
  const flat = text.replace(/\p{Cc}/gu, "\u00b7");
  return flat.length > 60 ? `'${flat.slice(0, 57)}...'` : `'${flat}'`;
}
