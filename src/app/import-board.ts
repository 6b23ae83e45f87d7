import { BoardwakeError } from "../core/base/errors.js";
import type { Parsed } from "../core/base/problem.js";
import { boardFileEndings } from "../core/board/read/detect-format.js";
import { type ImportOverrides, parseOverrides } from "../core/board/recognise/overrides.js";
import type { Store } from "../store/store.js";
import type { TextFile } from "../store/text-file.js";
import { renderBoard } from "./board-text.js";
import { importTexts, isImportable, maximumBoardBytes } from "./import-board-files.js";
import { type ImportReport, importReport } from "./import-report.js";
import { hasErrors } from "./load-board.js";
import { renderOwnTypes, typesFileFor } from "./own-types.js";

/** What to import and where to put it. */
export interface ImportRequest {
  /** Netlists and layouts of one board; the first gives it its name. */
  readonly files: readonly string[];
  readonly out: string;
  readonly overrides?: string;
}

/** Netlists and layouts made into a board file. */
export interface BoardImport extends ImportReport {
  /** Files written, the board file first. */
  readonly written: readonly string[];
}

const maximumOverridesBytes = 5_000_000;

/**
 * Turns netlists and layouts of one board into a board file and writes it, with a file of part types beside it if the
 * board has some of its own. The value is absent, and nothing is written, if no sound board came out. Throws `usage` for
 * a file that is no netlist by its name or an output that is no JSON file, `file-unreadable` and `file-unwritable`.
 */
export function importBoard(store: Store, request: ImportRequest): Parsed<BoardImport> {
  const { files: sources, out } = request;
  const odd = sources.find((source) => !isImportable(source));
  if (odd !== undefined)
    throw new BoardwakeError("usage", {
      reason: `'${odd}' is no netlist by its name; give files that end in ${boardFileEndings.join(", ")}.`,
    });
  if (!out.toLowerCase().endsWith(".json"))
    throw new BoardwakeError("usage", { reason: `The board file '${out}' must end in .json.` });
  const overrides = readOverrides(store, request.overrides);
  if (overrides !== undefined && overrides.value === undefined) return { problems: overrides.problems };
  const texts = sources.map((source) => store.files.read(source, maximumBoardBytes));
  const imported = importTexts(store, texts, overrides?.value);
  const problems = [...(overrides?.problems ?? []), ...imported.problems];
  const { value: board, localTypes } = imported;
  if (board === undefined) return { problems };
  const files: TextFile[] = [{ file: out, text: renderBoard(board) }];
  if (localTypes.length > 0) files.push({ file: typesFileFor(out), text: renderOwnTypes(localTypes) });
  store.files.write(files);
  return {
    value: {
      ...importReport(store, { ...imported, board, localTypes }, problems),
      written: files.map((written) => written.file),
    },
    problems,
  };
}

function readOverrides(store: Store, path: string | undefined): Parsed<ImportOverrides> | undefined {
  if (path === undefined) return undefined;
  const { file, text } = store.files.read(path, maximumOverridesBytes);
  const parsed = parseOverrides(text, { file });
  return hasErrors(parsed.problems) ? { problems: parsed.problems } : parsed;
}
