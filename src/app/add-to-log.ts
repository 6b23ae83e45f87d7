import type { Parsed } from "../core/base/problem.js";
import type { Board } from "../core/board/board.js";
import type { Case, CaseEntry } from "../core/find/case/case.js";
import { renderLog } from "./log-text.js";
import type { Store } from "./passed-in.js";
import { checkLogBoard, maximumLogBytes, readLog } from "./read-log.js";

/**
 * Adds an entry to the end of a log file, which must be a sound log of the board. Nothing is written if it is not.
 * Throws `file-unreadable`, `file-unwritable`, and `log-board-mismatch`.
 */
export function addToLog(store: Store, file: string, board: Board, entry: CaseEntry): Parsed<Case> {
  const { value, problems } = readLog(store.files.read(file, maximumLogBytes));
  if (value === undefined) return { problems };
  checkLogBoard(value.log, board);
  const log: Case = { ...value.log, entries: [...value.log.entries, entry] };
  store.files.write([{ file, text: renderLog(log) }]);
  return { value: log, problems };
}
