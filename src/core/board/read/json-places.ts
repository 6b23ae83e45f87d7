import type { Parsed, ProblemPlace } from "../../base/problem.js";
import { type JsonOffsets, JsonScanner } from "./json-scan.js";
import { createProblemList, quoted } from "./problem-list.js";

/** Keys and positions from the outermost value inwards, as in `["parts", 3, "pins", "7"]`. */
export type JsonPath = readonly (string | number)[];

/** A JSON value together with where each of its parts stands in the text. */
export interface JsonDocument {
  readonly value: unknown;
  /** Line and column (from 1) of the value at `path`; of the innermost value on the way there if it does not exist. */
  placeOf(path: JsonPath): { line: number; column: number };
  /** Line and column of the name of the field at `path`; of its value where it has no name. */
  placeOfName(path: JsonPath): { line: number; column: number };
}

/** `file` is named in every problem. */
export interface JsonOptions {
  readonly file?: string;
  /** Arrays and objects within one another. Default 64. */
  readonly maximumDepth?: number;
  /** UTF-16 units of text. Default 16 million. */
  readonly maximumCharacters?: number;
}

/**
 * Reads JSON (RFC 8259) and remembers where everything stands. The value is absent after an error of form, which is
 * reported with line and column; a name given twice in one object is a warning, and the last one counts.
 * Codes: `json-syntax`, `json-nested-too-deep`, `json-duplicate-name`, `input-too-large`. Never throws on any text.
 */
export function readJson(text: string, options: JsonOptions = {}): Parsed<JsonDocument> {
  const problems = createProblemList(options.file);
  const maximumCharacters = options.maximumCharacters ?? 16_000_000;
  if (text.length > maximumCharacters) {
    problems.error(
      "input-too-large",
      `The text has ${text.length} characters; at most ${maximumCharacters} are read.`,
    );
    return { problems: problems.all() };
  }
  const lines = lineStarts(text);
  const scanner = new JsonScanner(text, options.maximumDepth ?? 64);
  const scanned = scanner.document();
  for (const { offset, name } of scanner.duplicates) {
    problems.warning(
      "json-duplicate-name",
      `The name ${quoted(name)} stands twice in one object; the last one counts.`,
      placeAt(lines, offset),
    );
  }
  if (scanned === undefined) {
    const { code, message, offset } = scanner.failure;
    problems.error(code, message, placeAt(lines, offset));
    return { problems: problems.all() };
  }
  const document: JsonDocument = {
    value: scanned.value,
    placeOf: (path) => placeAt(lines, follow(scanned.offsets, path).start),
    placeOfName(path) {
      const last = path.at(-1);
      const parent = follow(scanned.offsets, path.slice(0, -1));
      const offset = typeof last === "string" ? parent.names?.get(last) : undefined;
      return placeAt(lines, offset ?? follow(scanned.offsets, path).start);
    },
  };
  return { value: document, problems: problems.all() };
}

/** `parts[3].pins.7` for `["parts", 3, "pins", "7"]`. */
export function renderPath(path: JsonPath): string {
  let text = "";
  for (const step of path) {
    if (typeof step === "number") text += `[${step}]`;
    else text += text === "" ? step : `.${step}`;
  }
  return text;
}

function follow(root: JsonOffsets, path: JsonPath): JsonOffsets {
  let at = root;
  for (const step of path) {
    const next = at.children?.get(step);
    if (next === undefined) return at;
    at = next;
  }
  return at;
}

function lineStarts(text: string): number[] {
  const starts = [0];
  for (let i = 0; i < text.length; i += 1) {
    const unit = text.charCodeAt(i);
    if (unit === 0x0a || (unit === 0x0d && text.charCodeAt(i + 1) !== 0x0a)) starts.push(i + 1);
  }
  return starts;
}

function placeAt(starts: readonly number[], offset: number): Required<Pick<ProblemPlace, "line" | "column">> {
  let low = 0;
  let high = starts.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if ((starts[middle] ?? 0) <= offset) low = middle;
    else high = middle - 1;
  }
  return { line: low + 1, column: offset - (starts[low] ?? 0) + 1 };
}
