import { BoardwakeError } from "../core/base/errors.js";
import { type Parsed, type Problem, renderProblem } from "../core/base/problem.js";
import type { Board } from "../core/board/board.js";
import { readJson } from "../core/board/read/json-places.js";
import { readCheckedJson } from "../core/board/read/schema-problems.js";
import { withLocalTypes } from "../core/board/recognise/board-from-netlist.js";
import type { Blocks } from "../core/board/sketch/blocks.js";
import { usualType } from "../core/board/sketch/complete.js";
import { type Known, knownFromBoard, knownSchema, refineBoard } from "../core/board/sketch/known.js";
import { parseBlocks } from "../core/board/sketch/read-blocks.js";
import { type SketchData, sketchBoard } from "../core/board/sketch/sketch.js";
import { renderBlockPicture } from "../core/draw/block-picture.js";
import type { Store } from "../store/store.js";
import type { TextFile } from "../store/text-file.js";
import { renderBoard } from "./board-text.js";
import { checkLoadedBoard } from "./check-board.js";
import { maximumBoardBytes } from "./import-board-files.js";
import { loadBoard } from "./load-board.js";
import { renderOwnTypes, typesFileFor } from "./own-types.js";

/** What to sketch and where to put it. */
export interface SketchRequest {
  readonly blocks: string;
  readonly out: string;
  /** Facts about the real board, or a board file of it. */
  readonly known?: string;
  /** Where the block picture goes, if one is wanted. */
  readonly picture?: string;
}

/** A block description made into a board file. */
export interface BoardSketch {
  readonly board: string;
  readonly title: string;
  readonly parts: number;
  readonly nets: number;
  /** References of the parts that nobody has seen. */
  readonly assumedParts: readonly string[];
  /** How many pins are wired by assumption, of how many. */
  readonly assumedPins: number;
  readonly pins: number;
  /** Chance that an assumed pin is wired otherwise. */
  readonly wiredOtherwise: number;
  /** Part types made for this board, or that only sketches use; they stand in the second file. */
  readonly ownTypes: readonly string[];
  /** Names of the description for which another type stands. */
  readonly standIns: readonly { readonly name: string; readonly type: string; readonly why: string }[];
  /** Nets whose value on the healthy board the model cannot account for. */
  readonly unsettled: readonly { readonly net: string; readonly phase: string; readonly reason: string }[];
  /** Findings of the electrical check that nobody has explained. */
  readonly findings: readonly string[];
  /** What the facts changed or confirmed. */
  readonly refined: readonly string[];
  /** Facts that cannot hold, together or on this board. */
  readonly contradictions: readonly string[];
  readonly written: readonly string[];
  readonly warnings: readonly string[];
}

const maximumBlocksBytes = 1_000_000;

/**
 * Sketches a board from a block description and writes it, with the part types it needs beside it. The value is absent,
 * and nothing is written, if the description has an error. Throws `usage` for an output that is no JSON file,
 * `file-unreadable` and `file-unwritable`.
 */
export function sketchFile(store: Store, request: SketchRequest): Parsed<BoardSketch> {
  const { out, picture } = request;
  if (!out.toLowerCase().endsWith(".json"))
    throw new BoardwakeError("usage", { reason: `The board file '${out}' must end in .json.` });
  if (picture !== undefined && !picture.toLowerCase().endsWith(".svg"))
    throw new BoardwakeError("usage", { reason: `The picture '${picture}' must end in .svg.` });
  const data = sketchData(store);
  const { file, text } = store.files.read(request.blocks, maximumBlocksBytes);
  const { value: blocks, problems } = parseBlocks(text, data, { file });
  if (blocks === undefined) return { problems };
  const { board: sketched, types } = sketchBoard(blocks, data);
  const known = knownFacts(store, request.known, sketched);
  if (known.value === undefined) return { problems: [...problems, ...known.problems] };
  const { board, changes, contradictions } = refineBoard(sketched, known.value);
  const library = withLocalTypes(store.data.partLibrary(), types);
  const check = checkLoadedBoard({ board, types: library });
  const files: TextFile[] = [{ file: out, text: renderBoard(board) }];
  if (types.length > 0) files.push({ file: typesFileFor(out), text: renderOwnTypes(types) });
  if (picture !== undefined) files.push({ file: picture, text: `${renderBlockPicture(board, library)}\n` });
  store.files.write(files);
  return {
    value: {
      board: board.id,
      title: board.title,
      ...countsOf(board),
      nets: check.nets,
      ownTypes: types.map(({ type }) => type),
      standIns: standInsOf(blocks, data),
      unsettled: check.unsettled,
      findings: check.findings
        .filter(({ explained }) => explained === undefined)
        .map(({ message }) => message),
      refined: changes,
      contradictions: [...known.value.others, ...contradictions],
      written: files.map((written) => written.file),
      warnings: warningsOf(problems),
    },
    problems,
  };
}

/** Facts from a file of facts or from a board file; none if no file is given. */
function knownFacts(
  store: Store,
  path: string | undefined,
  sketch: Board,
): Parsed<Known & { readonly others: readonly string[] }> {
  if (path === undefined)
    return { value: { formatVersion: 1, parts: [], connections: [], others: [] }, problems: [] };
  const { file, text } = store.files.read(path, maximumBoardBytes);
  const document = readJson(text, { file }).value?.value;
  if (typeof document === "object" && document !== null && "outline" in document) {
    const { value, problems } = loadBoard(store, path);
    return value === undefined ? { problems } : { value: knownFromBoard(value.board, sketch), problems };
  }
  const { value, problems } = readCheckedJson(text, knownSchema, { file });
  return value === undefined ? { problems } : { value: { ...value.value, others: [] }, problems };
}

/** Everything sketches are made with. */
export function sketchData(store: Store): SketchData {
  return { library: store.data.partLibrary(), ...store.data.sketch() };
}

function countsOf(
  board: Board,
): Pick<BoardSketch, "parts" | "pins" | "assumedParts" | "assumedPins" | "wiredOtherwise"> {
  const count = (of: (part: Board["parts"][number]) => number): number =>
    board.parts.reduce((sum, part) => sum + of(part), 0);
  return {
    parts: board.parts.length,
    pins: count(({ pins }) => Object.keys(pins).length),
    assumedParts: board.parts.filter(({ source }) => source === "assumed").map(({ ref }) => ref),
    assumedPins: count(({ assumedPins = [] }) => assumedPins.length),
    wiredOtherwise: board.assumedWiredOtherwise ?? 0,
  };
}

function warningsOf(problems: readonly Problem[]): string[] {
  return problems.filter(({ severity }) => severity === "warning").map(renderProblem);
}

function standInsOf(blocks: Blocks, data: SketchData): BoardSketch["standIns"] {
  const own = new Map(data.types.map((type) => [type.type, type]));
  const types = { get: (name: string) => data.library.get(name) ?? own.get(name) };
  const names = [...blocks.roms, ...blocks.ram, ...blocks.io].map(({ type }) => type);
  const more = [blocks.video.type, blocks.video.characterRom, blocks.sound?.type].filter(
    (name) => name !== undefined,
  );
  return [...new Set([...names, ...more])].flatMap((name) => {
    const type = usualType(name, types, data.usual);
    const alias = data.usual.aliases.find((one) => one.name === name);
    return type === name || alias === undefined ? [] : [alias];
  });
}
