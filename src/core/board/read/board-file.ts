import type { Parsed } from "../../base/problem.js";
import { type Board, boardSchema } from "../board.js";
import { boardFlaws, type PartTypeSource } from "./board-semantics.js";
import { type JsonOptions, renderPath } from "./json-places.js";
import { createProblemList } from "./problem-list.js";
import { nearestHint, readCheckedJson } from "./schema-problems.js";

/**
 * Reads one of our own board files (JSON, `boardSchema`) and checks its names against a part library.
 * Problems carry file, line, column, field path, what was expected and the nearest valid name. The value is absent if
 * there was any error. Codes: those of `readJson`, of `readCheckedJson` and of `boardFlaws`.
 */
export function parseBoardFile(
  text: string,
  library: PartTypeSource,
  options: JsonOptions = {},
): Parsed<Board> {
  const problems = createProblemList(options.file);
  const read = readCheckedJson(text, boardSchema, options);
  problems.addAll(read.problems);
  if (read.value === undefined) return { problems: problems.all() };
  const { value: board, document } = read.value;
  for (const flaw of boardFlaws(board, library)) {
    const isName = flaw.code === "unknown-pin" || flaw.path[0] === "steady" || flaw.path[2] === "levels";
    const position = isName ? document.placeOfName(flaw.path) : document.placeOf(flaw.path);
    const place = { ...position, field: renderPath(flaw.path) };
    const { unknown } = flaw;
    const hint = unknown === undefined ? undefined : () => nearestHint(unknown.name, unknown.among);
    if (flaw.severity === "error") problems.error(flaw.code, flaw.message, place, hint);
    else problems.warning(flaw.code, flaw.message, place, hint);
  }
  return problems.hasErrors() ? { problems: problems.all() } : { value: board, problems: problems.all() };
}
