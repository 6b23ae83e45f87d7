import type { Parsed, Problem, ProblemPlace } from "../../base/problem.js";

/** One wrong read: where, what should have come, what came. */
export interface FailingRead {
  readonly address: number;
  readonly expected: number;
  readonly read: number;
  /** Temperature of the machine where it was noted. */
  readonly when?: "cold" | "warm";
}

/** How numbers are written: bare hexadecimal, `$1F`, `0x1F`, `1Fh`. */
export type NumberNotation = "bare" | "$" | "0x" | "h";

/** What a list of failing addresses held. */
export interface FailureList {
  readonly reads: readonly FailingRead[];
  /** Absent for an empty list. */
  readonly notation?: NumberNotation;
}

/** Most lines that are read. */
export const maximumFailureLines = 1_000_000;

const maximumReported = 20;
const notationNames: Readonly<Record<NumberNotation, string>> = {
  bare: "bare hexadecimal",
  $: "$",
  "0x": "0x",
  h: "h at the end",
};

/**
 * Reads failing addresses, one a line: address, expected, read and, if known, `cold` or `warm`, with commas, semicolons,
 * colons, tabs, blanks or arrows between them; words such as `expected` and `read`, a header line, empty lines and lines
 * that begin with # do not matter. Numbers are hexadecimal: bare, `$1F`, `0x1F` or `1Fh`, but all in one way, for a list
 * that mixes them is refused. The value is absent if a line has a flaw. Codes: `failure-empty`, `failure-line`,
 * `failure-number`, `failure-mixed`, `failure-same`, `failure-too-many`.
 */
export function parseFailures(text: string, file?: string): Parsed<FailureList> {
  const reads: FailingRead[] = [];
  const problems: Problem[] = [];
  let notation: { readonly kind: NumberNotation; readonly line: number } | undefined;
  let number = 0;
  const report = (code: string, message: string, hint?: string): void => {
    if (problems.length >= maximumReported) return;
    const where: ProblemPlace = { ...(file === undefined ? {} : { file }), line: number };
    problems.push({ code, severity: "error", message, where, ...(hint === undefined ? {} : { hint }) });
  };
  for (const line of linesOf(text)) {
    number += 1;
    if (number > maximumFailureLines) {
      report("failure-too-many", `More than ${maximumFailureLines} lines are not read.`);
      break;
    }
    const fields = fieldsOf(line);
    if (fields === undefined) continue;
    const { numbers, when } = fields;
    if (numbers.length !== 3) {
      report(
        "failure-line",
        `Expected three numbers, address, expected and read; got "${line.trim().slice(0, 40)}".`,
      );
      continue;
    }
    const values: number[] = [];
    for (const item of numbers) {
      const found = readNumber(item);
      if (found === undefined) {
        report("failure-number", `"${item.slice(0, 20)}" is no hexadecimal number.`);
        break;
      }
      if (notation !== undefined && notation.kind !== found.kind) {
        report(
          "failure-mixed",
          `Line ${notation.line} writes numbers with ${notationNames[notation.kind]}, this one ${item.slice(0, 20)} with ${notationNames[found.kind]}.`,
          "Write all numbers in one notation.",
        );
        return { problems };
      }
      notation ??= { kind: found.kind, line: number };
      values.push(found.value);
    }
    const [address, expected, read] = values;
    if (address === undefined || expected === undefined || read === undefined) continue;
    if (expected === read) {
      report(
        "failure-same",
        `Expected and read are the same here, so nothing failed.`,
        "Leave the line out.",
      );
      continue;
    }
    reads.push({ address, expected, read, ...(when === undefined ? {} : { when }) });
  }
  if (problems.length > 0) return { problems };
  if (reads.length === 0) {
    number = 1;
    report("failure-empty", "There is no failing address here.", "One line each: address, expected, read.");
    return { problems };
  }
  return { value: { reads, ...(notation === undefined ? {} : { notation: notation.kind }) }, problems };
}

function* linesOf(text: string): Iterable<string> {
  let from = 0;
  while (from < text.length) {
    const end = text.indexOf("\n", from);
    yield text.slice(from, end < 0 ? text.length : end);
    if (end < 0) return;
    from = end + 1;
  }
}

const noiseWords = new Set([
  "address",
  "at",
  "addr",
  "expected",
  "exp",
  "read",
  "got",
  "is",
  "when",
  "instead",
  "of",
]);

/** Numbers and condition of a line; undefined if it says nothing: empty, a comment, a header. */
function fieldsOf(
  line: string,
): { readonly numbers: readonly string[]; readonly when?: "cold" | "warm" } | undefined {
  const numbers: string[] = [];
  let when: "cold" | "warm" | undefined;
  let hasWords = false;
  for (const field of line.split(/[\s,;:="]+|->|→/)) {
    if (field.startsWith("#")) break;
    const word = field.toLowerCase();
    if (word === "") continue;
    if (word === "cold" || word === "warm") when = word;
    else if (noiseWords.has(word)) hasWords = true;
    else numbers.push(field);
  }
  if (numbers.length === 0 && (hasWords || when === undefined)) return undefined;
  return { numbers, ...(when === undefined ? {} : { when }) };
}

function readNumber(text: string): { readonly kind: NumberNotation; readonly value: number } | undefined {
  const match = /^(\$|0x)?([0-9a-f]{1,6})(h)?$/i.exec(text);
  if (match === null) return undefined;
  const [, before, digits = "", after] = match;
  if (before !== undefined && after !== undefined) return undefined;
  const kind = before === undefined ? (after === undefined ? "bare" : "h") : before === "$" ? "$" : "0x";
  return { kind, value: Number.parseInt(digits, 16) };
}
