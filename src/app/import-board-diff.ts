import type { Parsed } from "../core/base/problem.js";
import { type BoardDiff, diffBoards, isSameBoard } from "../core/board/board-diff.js";
import type { Store } from "../store/store.js";
import { loadBoard } from "./load-board.js";

/** How two boards differ, and whether they do. */
export interface ComparedBoards extends BoardDiff {
  readonly same: boolean;
}

/**
 * Compares two boards, each an installed board, a board file, a netlist or a layout. The value is absent if either
 * cannot be read. Throws `board-unknown` and `file-unreadable`.
 */
export function compareBoards(store: Store, before: string, after: string): Parsed<ComparedBoards> {
  const loaded = [before, after].map((name) => loadBoard(store, name));
  const problems = loaded.flatMap((one) => one.problems);
  const [first, second] = loaded.map((one) => one.value?.board);
  if (first === undefined || second === undefined) return { problems };
  const diff = diffBoards(first, second);
  return { value: { same: isSameBoard(diff), ...diff }, problems };
}
