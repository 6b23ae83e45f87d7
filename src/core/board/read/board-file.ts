import type { Parsed } from "../../base/problem.js";
import { type Board, boardFormatVersion, boardSchema } from "../board.js";
import { migrateBoard, newerBoardVersion } from "./board-migrations.js";
import { boardFlaws, type PartTypeSource } from "./board-semantics.js";
import { type JsonOptions, readJson, renderPath } from "./json-places.js";
import { createProblemList, type ProblemList } from "./problem-list.js";
import { nearestHint, readCheckedJson } from "./schema-problems.js";

/**
 * Reads one of our own board files (JSON, `boardSchema`) and checks its names against a part library.
 * Problems carry file, line, column, field path, what was expected and the nearest valid name. The value is absent if
 * there was any error. Files of older format versions are read as the present one. Codes: `newer-version`, those of `readJson`, of `readCheckedJson` and of `boardFlaws`.
 */
export function parseBoardFile(
  text: string,
  library: PartTypeSource,
  options: JsonOptions = {},
): Parsed<Board> {
  const problems = createProblemList(options.file);
  const read = readCheckedJson(text, boardSchema, options, migrateBoard);
  if (read.value === undefined && reportNewer(text, options, problems)) return { problems: problems.all() };
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

/** True, with one error instead of one for each unknown field, if the file was written by a newer boardwake. */
function reportNewer(text: string, options: JsonOptions, problems: ProblemList): boolean {
  const document = readJson(text, options).value;
  const version = newerBoardVersion(document?.value);
  if (document === undefined || version === undefined) return false;
  problems.error(
    "newer-version",
    `The board file states format version ${version}; this boardwake reads up to ${boardFormatVersion}.`,
    { ...document.placeOf(["formatVersion"]), field: "formatVersion" },
    "Read it with the boardwake that wrote it, or a newer one.",
  );
  return true;
}
