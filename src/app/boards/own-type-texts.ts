import { BoardwakeError } from "../../core/base/errors.js";
import { type PartType, partTypeSchema } from "../../core/board/part-type.js";
import type { StoredType } from "../../store/jobs/board-shelf.js";

/** Part types of one's own as the shelf keeps them. Throws `database-broken` for a text that is no part type. */
export function readOwnTypeTexts(stored: readonly StoredType[], file: string): PartType[] {
  return stored.map(({ name, text }) => {
    try {
      return partTypeSchema.parse(JSON.parse(text));
    } catch (cause) {
      const reason = `the part type '${name}' does not have the form of one`;
      throw new BoardwakeError("database-broken", { file, reason }, cause);
    }
  });
}
