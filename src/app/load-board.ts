import { BoardwakeError } from "../core/base/errors.js";
import { nearestName } from "../core/base/nearest.js";
import type { Parsed, Problem } from "../core/base/problem.js";
import type { Board } from "../core/board/board.js";
import type { PartLibrary } from "../core/board/part-library.js";
import type { PartType } from "../core/board/part-type.js";
import { parseBoardFile } from "../core/board/read/board-file.js";
import { withLocalTypes } from "../core/board/recognise/board-from-netlist.js";
import type { Store } from "../store/store.js";
import type { TextFile } from "../store/text-file.js";
import { importTexts, isImportable, maximumBoardBytes } from "./import-board-files.js";
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

/**
 * Finds the board a user names: the id of an installed board, the path of a board file, or the path of a netlist
 * or a layout, which is turned into a board on the way. The value is absent if the file has an error; its problems then
 * say where. Throws `board-unknown` if there is neither such a board nor such a file, and `file-unreadable`.
 */
export function loadBoard(store: Store, name: string): Parsed<LoadedBoard> {
  const library = store.data.partLibrary();
  const ids = store.data.boardIds();
  if (ids.includes(name)) return parseWith(store.data.boardFile(name), library, []);
  if (!store.files.isFile(name)) throw unknownBoard(name, ids);
  const file = store.files.read(name, maximumBoardBytes);
  if (isImportable(name)) {
    const { value, problems, localTypes } = importTexts(store, [file], undefined);
    if (value === undefined) return { problems };
    return { value: { board: value, types: withLocalTypes(library, localTypes) }, problems };
  }
  const own = readOwnTypes(store, typesFileFor(name));
  if (own.value === undefined) return { problems: own.problems };
  const parsed = parseWith(file, library, own.value);
  return { ...parsed, problems: [...own.problems, ...parsed.problems] };
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
  const hint = `${meant} Boards here: ${ids.join(", ")}; or give the path of a board file, a netlist or a layout.`;
  return new BoardwakeError("board-unknown", { board: name, hint });
}

/** True if any of the problems is an error. */
export function hasErrors(problems: readonly Problem[]): boolean {
  return problems.some((problem) => problem.severity === "error");
}
