import { z } from "zod";
import { type Board, boardSchema } from "../../core/board/board.js";
import { type PartType, partTypeSchema } from "../../core/board/part-type.js";
import type { BoardTypes, LoadedBoard } from "../load-board.js";

/** A board as it crosses to another thread: plain texts, with a name that changes whenever they do. */
export interface BoardSource {
  readonly key: string;
  /** The board as JSON. */
  readonly board: string;
  /** The part types it needs beside the installed ones, as JSON; they go before installed ones of the same name. */
  readonly types: string;
}

const typesSchema = z.array(partTypeSchema);

/** Makes a source of a board that was checked. */
export function sourceOf(key: string, board: Board, types: readonly PartType[]): BoardSource {
  return { key, board: JSON.stringify(board), types: JSON.stringify(types) };
}

/** The board of a source. Throws what the schemas throw for texts that `sourceOf` did not make. */
export function loadSource(source: BoardSource, library: BoardTypes): LoadedBoard {
  return {
    board: boardSchema.parse(JSON.parse(source.board)),
    types: typesWith(library, typesSchema.parse(JSON.parse(source.types))),
  };
}

/** The library with types of one's own before those of the same name. */
export function typesWith(library: BoardTypes, own: readonly PartType[]): BoardTypes {
  if (own.length === 0) return library;
  const byName = new Map(own.map((type) => [type.type, type]));
  return {
    get: (type) => byName.get(type) ?? library.get(type),
    names: () => [...new Set([...byName.keys(), ...library.names()])],
  };
}
