import { type Problem, renderProblem } from "../core/base/problem.js";
import type { Board, BoardPart } from "../core/board/board.js";
import { type ImportSummary, summariseImport, type UnknownPart } from "../core/board/import-summary.js";
import type { PartType } from "../core/board/part-type.js";
import { withLocalTypes } from "../core/board/recognise/board-from-netlist.js";
import type { Guess } from "../core/board/recognise/guess.js";
import type { Store } from "../store/store.js";

/** What an import found and took for granted, for the user to look over. */
export interface ImportReport extends ImportSummary {
  readonly board: string;
  readonly title: string;
  /** Types made for components the library does not know. */
  readonly ownTypes: readonly string[];
  readonly guesses: readonly Guess[];
  /** Components of which nobody knows what they are, those that hide most lines first. */
  readonly unknown: readonly UnknownPart[];
  /** Everything that was odd, one sentence each. */
  readonly warnings: readonly string[];
}

/** A board with what was guessed when it was made. */
export interface MadeBoard {
  readonly board: Board;
  readonly localTypes: readonly PartType[];
  readonly guesses: readonly Guess[];
}

/** The report of a board that was just made; `problems` are those met on the way. */
export function importReport(
  store: Store,
  { board, localTypes, guesses }: MadeBoard,
  problems: readonly Problem[],
): ImportReport {
  return {
    board: board.id,
    title: board.title,
    ...summariseImport(board, withLocalTypes(store.data.partLibrary(), localTypes), localTypes),
    ownTypes: localTypes.map((type) => type.type),
    guesses,
    unknown: unknownParts(board, localTypes, problems),
    warnings: problems.filter(({ severity }) => severity === "warning").map(renderProblem),
  };
}

/**
 * Parts whose type was made for them alone, each with the reason the recognition gave. A part of which nothing is known
 * hides as many lines as it touches, so those that touch most come first; supply lines do not count.
 */
function unknownParts(
  board: Board,
  localTypes: readonly PartType[],
  problems: readonly Problem[],
): UnknownPart[] {
  const local = new Set(localTypes.map(({ type }) => type));
  const supplies = new Set([board.ground, ...board.rails.map(({ net }) => net)]);
  const lines = ({ pins }: BoardPart): number =>
    new Set(Object.values(pins).filter((net) => !supplies.has(net))).size;
  const whys = problems.filter(({ code }) => code === "unknown-type").map(({ message }) => message);
  return board.parts
    .filter((part) => local.has(part.type))
    .sort((a, b) => lines(b) - lines(a))
    .map(({ ref, value = "" }) => {
      const message = whys.find((why) => why.startsWith(`${ref} (`)) ?? "";
      const why = /is not recognised: (.*?)\. It is treated/.exec(message)?.[1];
      return { ref, value, why: why ?? "neither its value nor its symbol is known" };
    });
}
