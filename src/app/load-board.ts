import { BoardwakeError } from "../core/base/errors.js";
import { nearestName } from "../core/base/nearest.js";
import type { Parsed, Problem } from "../core/base/problem.js";
import type { Board } from "../core/board/board.js";
import type { PartLibrary } from "../core/board/part-library.js";
import type { PartType } from "../core/board/part-type.js";
import { parseBoardFile } from "../core/board/read/board-file.js";
import { parseKicadNetlist } from "../core/board/read/kicad-netlist.js";
import {
  boardFromNetlist,
  type ImportedBoard,
  withLocalTypes,
} from "../core/board/recognise/board-from-netlist.js";
import type { ImportOverrides } from "../core/board/recognise/overrides.js";
import type { Store } from "../store/store.js";
import type { TextFile } from "../store/text-file.js";
import { readOwnTypes, typesFileFor } from "./own-types.js";

/** A board ready to work with, and the part types it is made of. */
export interface LoadedBoard {
  readonly board: Board;
  readonly types: BoardTypes;
}

/** Part types of a board: the installed library and the types that belong to this board alone. */
export interface BoardTypes {
  get(type: string): PartType | undefined;
  names(): Iterable<string>;
}

/** Most bytes, and most characters, of a board file or a netlist. */
export const maximumBoardBytes = 50_000_000;

/**
 * Finds the board a user names: the id of an installed board, the path of a board file, or the path of a netlist
 * (`.net`), which is turned into a board on the way. The value is absent if the file has an error; its problems then
 * say where. Throws `board-unknown` if there is neither such a board nor such a file, and `file-unreadable`.
 */
export function loadBoard(store: Store, name: string): Parsed<LoadedBoard> {
  const library = store.data.partLibrary();
  const ids = store.data.boardIds();
  if (ids.includes(name)) return parseWith(store.data.boardFile(name), library, []);
  if (!store.files.isFile(name)) throw unknownBoard(name, ids);
  const file = store.files.read(name, maximumBoardBytes);
  if (isNetlist(name)) {
    const { value, problems, localTypes } = importNetlist(store, file, undefined);
    if (value === undefined) return { problems };
    return { value: { board: value, types: withLocalTypes(library, localTypes) }, problems };
  }
  const own = readOwnTypes(store, typesFileFor(name));
  if (own.value === undefined) return { problems: own.problems };
  const parsed = parseWith(file, library, own.value);
  return { ...parsed, problems: [...own.problems, ...parsed.problems] };
}

/** True for a path that by its name is a netlist. */
export function isNetlist(path: string): boolean {
  return path.toLowerCase().endsWith(".net");
}

/** Makes a board from the text of a netlist, with what was guessed; problems of reading and of recognising together. */
export function importNetlist(
  store: Store,
  { file, text }: TextFile,
  overrides: ImportOverrides | undefined,
): ImportedBoard {
  const draft = parseKicadNetlist(text, { file, maximumCharacters: maximumBoardBytes });
  if (draft.value === undefined) return { problems: draft.problems, guesses: [], localTypes: [] };
  const imported = boardFromNetlist(draft.value, {
    library: store.data.partLibrary(),
    recognition: store.data.recognition(),
    fileName: file,
    ...(overrides === undefined ? {} : { overrides }),
  });
  return { ...imported, problems: [...draft.problems, ...imported.problems] };
}

function parseWith(
  { file, text }: TextFile,
  library: PartLibrary,
  own: readonly PartType[],
): Parsed<LoadedBoard> {
  const types = withLocalTypes(library, own);
  const { value, problems } = parseBoardFile(text, types, { file, maximumCharacters: maximumBoardBytes });
  return value === undefined ? { problems } : { value: { board: value, types }, problems };
}

function unknownBoard(name: string, ids: readonly string[]): BoardwakeError {
  const near = nearestName(name, ids);
  const meant = near === undefined ? "" : ` Did you mean '${near}'?`;
  const hint = `${meant} Boards here: ${ids.join(", ")}; or give the path of a board file or a netlist.`;
  return new BoardwakeError("board-unknown", { board: name, hint });
}

/** True if any of the problems is an error. */
export function hasErrors(problems: readonly Problem[]): boolean {
  return problems.some((problem) => problem.severity === "error");
}
