/** A flaw found in material the user supplied; the reader that found it still returns what it could read. */
export interface Problem {
  /** Stable kebab-case name of the kind of flaw, e.g. `unknown-pin`. */
  readonly code: string;
  readonly severity: "error" | "warning";
  /** One sentence: what is wrong and what was expected. */
  readonly message: string;
  readonly where: ProblemPlace;
  /** What the user can do next, one sentence. */
  readonly hint?: string;
}

/** Where in the material the flaw stands; every field that is known is given. */
export interface ProblemPlace {
  readonly file?: string;
  /** First line is 1. */
  readonly line?: number;
  /** First column is 1. */
  readonly column?: number;
  /** Path of field names and list positions, e.g. `parts[3].pins.7`. */
  readonly field?: string;
  /** Offset in a binary file; its first byte is 0. */
  readonly byte?: number;
  /** Place in a recording, counted from its beginning. */
  readonly seconds?: number;
}

/** A value read from flawed material, with everything that was wrong with it. `value` is absent if nothing usable remained. */
export interface Parsed<T> {
  readonly value?: T;
  readonly problems: readonly Problem[];
}

/** One line for people: place, message, hint. */
export function renderProblem(problem: Problem): string {
  const { file, line, column, field, byte, seconds } = problem.where;
  const spot = [file, line, column].filter((x) => x !== undefined).join(":");
  const place = [
    spot,
    field,
    byte === undefined ? undefined : `byte ${byte}`,
    seconds === undefined ? undefined : `at ${seconds.toFixed(3)} s`,
  ]
    .filter((x) => x !== undefined && x !== "")
    .join(" ");
  const head = place === "" ? "" : `${place}: `;
  const tail = problem.hint === undefined ? "" : ` ${problem.hint}`;
  return `${head}${problem.message}${tail}`;
}
