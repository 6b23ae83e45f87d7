import { BoardwakeError } from "../core/base/errors.js";
import type { Parsed } from "../core/base/problem.js";
import type { Guess } from "../core/board/recognise/guess.js";
import { type ImportOverrides, parseOverrides } from "../core/board/recognise/overrides.js";
import type { Store } from "../store/store.js";
import type { TextFile } from "../store/text-file.js";
import { renderBoard } from "./board-text.js";
import { hasErrors, importNetlist, isNetlist, maximumBoardBytes } from "./load-board.js";
import { renderOwnTypes, typesFileFor } from "./own-types.js";

/** What to import and where to put it. */
export interface ImportRequest {
  readonly netlist: string;
  readonly out: string;
  readonly overrides?: string;
}

/** A netlist made into a board file. */
export interface BoardImport {
  readonly board: string;
  readonly title: string;
  readonly parts: number;
  readonly nets: number;
  /** Files written, the board file first. */
  readonly written: readonly string[];
  /** Types made for components the library does not know; they stand in the second file. */
  readonly ownTypes: readonly string[];
  /** What was taken for granted, for the user to look over. */
  readonly guesses: readonly Guess[];
}

const maximumOverridesBytes = 5_000_000;

/**
 * Turns a netlist into a board file and writes it, with a file of part types beside it if the board has some of its
 * own. The value is absent, and nothing is written, if no sound board came out. Throws `usage` for a file that is no
 * netlist or an output that is no JSON file, `file-unreadable` and `file-unwritable`.
 */
export function importBoard(store: Store, request: ImportRequest): Parsed<BoardImport> {
  const { netlist, out } = request;
  if (!isNetlist(netlist))
    throw new BoardwakeError("usage", {
      reason: `'${netlist}' is no netlist by its name; give a KiCad netlist that ends in .net.`,
    });
  if (!out.toLowerCase().endsWith(".json"))
    throw new BoardwakeError("usage", { reason: `The board file '${out}' must end in .json.` });
  const overrides = readOverrides(store, request.overrides);
  if (overrides !== undefined && overrides.value === undefined) return { problems: overrides.problems };
  const file = store.files.read(netlist, maximumBoardBytes);
  const imported = importNetlist(store, file, overrides?.value);
  const problems = [...(overrides?.problems ?? []), ...imported.problems];
  const { value: board, guesses, localTypes } = imported;
  if (board === undefined) return { problems };
  const files: TextFile[] = [{ file: out, text: renderBoard(board) }];
  if (localTypes.length > 0) files.push({ file: typesFileFor(out), text: renderOwnTypes(localTypes) });
  store.files.write(files);
  return {
    value: {
      board: board.id,
      title: board.title,
      parts: board.parts.length,
      nets: new Set(board.parts.flatMap((part) => Object.values(part.pins))).size,
      written: files.map((written) => written.file),
      ownTypes: localTypes.map((type) => type.type),
      guesses,
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
