import type { Parsed } from "../core/base/problem.js";
import { parsePartLibrary } from "../core/board/part-library.js";
import type { PartType } from "../core/board/part-type.js";
import type { Store } from "../store/store.js";

const maximumBytes = 5_000_000;

/**
 * Name of the file beside a board file that holds the part types which belong to this board alone:
 * `lamp.types.json` for `lamp.json`.
 */
export function typesFileFor(boardFile: string): string {
  return `${boardFile.replace(/\.json$/i, "")}.types.json`;
}

/** Reads the part types beside a board file; none if there is no such file. The value is absent if it has an error. */
export function readOwnTypes(store: Store, path: string): Parsed<readonly PartType[]> {
  if (!store.files.isFile(path)) return { value: [], problems: [] };
  const { value, problems } = parsePartLibrary([store.files.read(path, maximumBytes)]);
  if (value === undefined || problems.some((problem) => problem.severity === "error")) return { problems };
  return { value: value.names().flatMap((name) => value.get(name) ?? []), problems };
}

/** Text of a file of part types as `readOwnTypes` reads it. */
export function renderOwnTypes(types: readonly PartType[]): string {
  const sorted = [...types].sort((a, b) => (a.type < b.type ? -1 : 1));
  return `${JSON.stringify({ $schema: "part-types.json", formatVersion: 1, types: sorted }, null, 1)}\n`;
}
