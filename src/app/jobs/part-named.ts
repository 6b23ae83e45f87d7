import { BoardwakeError } from "../../core/base/errors.js";
import { nearestName } from "../../core/base/nearest.js";
import type { BenchBoard } from "./bench-boards.js";

/** Reference of the part of that name, whatever its case. Throws `part-unknown`, with the nearest name. */
export function partNamed({ board }: BenchBoard, name: string): string {
  const refs = board.parts.map(({ ref }) => ref);
  const found = refs.find((ref) => ref === name) ?? refs.find((ref) => ref === name.toUpperCase());
  if (found !== undefined) return found;
  const near = nearestName(name, refs);
  const hint = near === undefined ? "" : ` Did you mean '${near}'?`;
  throw new BoardwakeError("part-unknown", { part: name, board: board.title, hint });
}
