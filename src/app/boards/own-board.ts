import { z } from "zod";
import { BoardwakeError } from "../../core/base/errors.js";
import { type Parsed, type Problem, renderProblem } from "../../core/base/problem.js";
import { type Board, boardSchema } from "../../core/board/board.js";
import { parsePartLibrary } from "../../core/board/part-library.js";
import type { PartType } from "../../core/board/part-type.js";
import { partTypeSchema } from "../../core/board/part-type.js";
import { parseBoardFile } from "../../core/board/read/board-file.js";
import { withLocalTypes } from "../../core/board/recognise/board-from-netlist.js";
import type { ImportOverrides } from "../../core/board/recognise/overrides.js";
import { parseBlocks } from "../../core/board/sketch/read-blocks.js";
import { sketchBoard } from "../../core/board/sketch/sketch.js";
import type { StoredBoardVersion } from "../../store/jobs/board-shelf.js";
import type { Store } from "../../store/store.js";
import type { TextFile } from "../../store/text-file.js";
import { importTexts, isImportable, maximumBoardBytes } from "../import-board-files.js";
import { type ImportReport, importReport, type MadeBoard } from "../import-report.js";
import { Refusal } from "../jobs/refusal.js";
import { hasErrors } from "../load-board.js";
import { sketchData } from "../sketch-board.js";

/** What a board of one's own is made from. */
export interface OwnBoardRequest {
  /**
   * Netlists and layouts of one board; or one board file, with or without a file of its part types; or one description
   * of blocks, from which a board is sketched.
   */
  readonly files: readonly TextFile[];
  readonly corrections?: ImportOverrides | undefined;
}

/** A board of one's own, ready to be kept: texts as the shelf keeps them. */
export interface OwnBoard {
  readonly report: ImportReport;
  readonly text: string;
  readonly types: string;
}

const typesSchema = z.array(partTypeSchema);
const isTypesFile = (name: string): boolean => name.toLowerCase().endsWith(".types.json");
const isJson = (name: string): boolean => name.toLowerCase().endsWith(".json");

/**
 * Makes a board of the files somebody brought. Throws `Refusal` with the file and the place of the first thing that is
 * wrong, and how many more there are.
 */
export function makeOwnBoard(store: Store, request: OwnBoardRequest): OwnBoard {
  const [only] = request.files;
  const { value, problems } =
    only !== undefined && request.files.length === 1 && isBlockDescription(only)
      ? readBlocks(store, only)
      : request.files.some(({ file }) => isJson(file))
        ? readBoardFiles(store, request.files)
        : readNetlists(store, request);
  if (value === undefined) throw refusalOf(problems);
  return {
    report: importReport(store, value, problems),
    text: JSON.stringify(value.board),
    types: JSON.stringify(value.localTypes),
  };
}

/** The board and the types of a version that the shelf keeps. Throws `database-broken` for texts that are no board. */
export function readOwnBoard(
  version: StoredBoardVersion,
  file: string,
): { readonly board: Board; readonly localTypes: readonly PartType[] } {
  try {
    return {
      board: boardSchema.parse(JSON.parse(version.text)),
      localTypes: typesSchema.parse(JSON.parse(version.types)),
    };
  } catch (cause) {
    const reason = `version ${version.number} of board '${version.board}' does not have the form of a board`;
    throw new BoardwakeError("database-broken", { file, reason }, cause);
  }
}

/** True for JSON that describes blocks and no parts; what is wrong with it is for its reader to say. */
function isBlockDescription({ file, text }: TextFile): boolean {
  if (!isJson(file) || isTypesFile(file)) return false;
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === "object" && value !== null && "video" in value && !("parts" in value);
  } catch {
    return false;
  }
}

/** A board sketched from a block description; what it assumes is among its warnings. */
function readBlocks(store: Store, { file, text }: TextFile): Parsed<MadeBoard> {
  const data = sketchData(store);
  const { value: blocks, problems } = parseBlocks(text, data, { file });
  if (blocks === undefined) return { problems };
  const { board, types } = sketchBoard(blocks, data);
  return { value: { board, localTypes: types, guesses: [] }, problems };
}

function readNetlists(store: Store, { files, corrections }: OwnBoardRequest): Parsed<MadeBoard> {
  const odd = files.find(({ file }) => !isImportable(file));
  if (odd !== undefined)
    return refused(
      odd.file,
      `'${odd.file}' is no netlist, layout or board file by its name.`,
      "Give .kicad_pcb, .net, .xml, .csv, .edf, .ipc or a board file in .json.",
    );
  const imported = importTexts(store, files, corrections);
  const { value: board, problems, guesses, localTypes } = imported;
  if (board === undefined || hasErrors(problems)) return { problems };
  return { value: { board, guesses, localTypes }, problems };
}

function readBoardFiles(store: Store, files: readonly TextFile[]): Parsed<MadeBoard> {
  const boards = files.filter(({ file }) => isJson(file) && !isTypesFile(file));
  const [main] = boards;
  const other = files.find(({ file }) => !isJson(file)) ?? boards[1];
  if (main === undefined)
    return refused(files[0]?.file ?? "", "There is no board file beside the part types.", "Give both.");
  if (other !== undefined)
    return refused(
      other.file,
      `A board file is a whole board, and '${other.file}' cannot be joined with '${main.file}'.`,
      "Import them one after the other.",
    );
  const library = store.data.partLibrary();
  const own = files.filter(({ file }) => isTypesFile(file));
  const read = own.length === 0 ? undefined : parsePartLibrary(own);
  if (read !== undefined && hasErrors(read.problems)) return { problems: read.problems };
  const types = (read?.value?.names() ?? []).flatMap((name) => read?.value?.get(name) ?? []);
  const { value, problems } = parseBoardFile(main.text, withLocalTypes(library, types), {
    file: main.file,
    maximumCharacters: maximumBoardBytes,
  });
  const all = [...(read?.problems ?? []), ...problems];
  return value === undefined
    ? { problems: all }
    : { value: { board: value, localTypes: types, guesses: [] }, problems: all };
}

function refused(file: string, message: string, hint: string): { problems: Problem[] } {
  return { problems: [{ code: "file-unfit", severity: "error", message, where: { file }, hint }] };
}

function refusalOf(problems: readonly Problem[]): Refusal {
  const errors = problems.filter(({ severity }) => severity === "error");
  const [first] = errors;
  const more = errors.length > 1 ? ` (and ${errors.length - 1} more)` : "";
  if (first === undefined)
    return new Refusal({
      code: "no-board",
      severity: "error",
      message: "No board came out of these files.",
      where: { field: "files" },
    });
  const { hint, code } = first;
  const message = renderProblem({ code, severity: "error", message: first.message, where: first.where });
  return new Refusal({
    code,
    severity: "error",
    message: `${message}${more}`,
    where: { field: "files" },
    ...(hint === undefined ? {} : { hint }),
  });
}
