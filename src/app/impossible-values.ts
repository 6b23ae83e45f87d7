import type { Problem } from "../core/base/problem.js";
import type { Board } from "../core/board/board.js";
import { type Case, standingEntries } from "../core/find/case/case.js";

/** Room above the highest feed of a board, for peaks of an alternating one and for a supply that failed high. */
const factorAbove = 3;

/** Readings of a log that no place of the board can show, whatever is wrong with it. Code: `impossible-value`. */
export function impossibleValues(log: Case, board: Board): Problem[] {
  const highest = Math.max(5, ...board.rails.map(({ nominalVolt }) => Math.abs(nominalVolt)));
  return standingEntries(log.entries).flatMap(({ number, entry }): Problem[] => {
    if (entry.kind !== "reading" || entry.volts === undefined) return [];
    if (Math.abs(entry.volts) <= highest * factorAbove) return [];
    return [
      {
        code: "impossible-value",
        severity: "error",
        message: `${entry.volts} V cannot stand at ${entry.at}: the highest feed of ${board.title} is ${highest} V.`,
        where: { field: `entries[${number - 1}].volts` },
        hint: "Check the probe, the range and the decimal point; if it really is that much, do not touch it.",
      },
    ];
  });
}
