import { BoardwakeError } from "../core/base/errors.js";
import type { Parsed, Problem } from "../core/base/problem.js";
import type { Board } from "../core/board/board.js";
import { type JsonDocument, type JsonPath, renderPath } from "../core/board/read/json-places.js";
import { createProblemList } from "../core/board/read/problem-list.js";
import { readCheckedJson } from "../core/board/read/schema-problems.js";
import { type Case, caseSchema } from "../core/find/case/case.js";
import type { TextFile } from "../store/text-file.js";

/** Most bytes, and most characters, of a log. */
export const maximumLogBytes = 5_000_000;

/** A log that fits its form, with the means to say where in its file an entry stands. */
export interface LogFile {
  readonly log: Case;
  /** The problem with file, line and column of the field it names. */
  locate(problem: Problem): Problem;
}

/**
 * Reads a log (JSON, `caseSchema`). The value is absent if anything is wrong; each problem then has its place.
 * Codes: those of `readCheckedJson`, and `unknown-entry` for a strike of an entry that is not before it.
 */
export function readLog({ file, text }: TextFile): Parsed<LogFile> {
  const read = readCheckedJson(text, caseSchema, { file, maximumCharacters: maximumLogBytes });
  if (read.value === undefined) return { problems: read.problems };
  const { value: log, document } = read.value;
  const problems = createProblemList(file);
  problems.addAll(read.problems);
  for (const [i, entry] of log.entries.entries()) {
    if (entry.kind !== "strike" || entry.entry <= i) continue;
    const path = ["entries", i, "entry"];
    problems.error("unknown-entry", strikeMessage(entry.entry, i), placeIn(document, path));
  }
  if (problems.hasErrors()) return { problems: problems.all() };
  const locate = (problem: Problem): Problem => {
    const path = readPath(problem.where.field ?? "");
    return { ...problem, where: { file, ...placeIn(document, path), ...problem.where } };
  };
  return { value: { log, locate }, problems: problems.all() };
}

/** Throws `log-board-mismatch` if the log says that it was kept on another board. */
export function checkLogBoard(log: Case, board: Board): void {
  if (log.board === undefined || log.board === board.id) return;
  throw new BoardwakeError("log-board-mismatch", { logBoard: log.board, board: board.id });
}

function strikeMessage(wanted: number, before: number): string {
  const there = before === 0 ? "there is none" : before === 1 ? "there is only entry 1" : `1 to ${before}`;
  return `Entry ${before + 1} strikes out entry ${wanted}, but only an earlier entry can be struck out: ${there}.`;
}

function placeIn(document: JsonDocument, path: JsonPath): { line: number; column: number; field: string } {
  return { ...document.placeOf(path), field: renderPath(path) };
}

/** `["entries", 3, "at"]` for `entries[3].at`. */
function readPath(field: string): JsonPath {
  return [...field.matchAll(/\[(\d+)\]|([^.[\]]+)/g)].map(([, position, name]) =>
    position === undefined ? (name ?? "") : Number(position),
  );
}
