import type { Parsed } from "../core/base/problem.js";
import type { Case } from "../core/find/case/case.js";
import { type PreparedBoard, prepareBoard } from "../core/find/prepare.js";
import type { Progress } from "../core/find/table/effect-table.js";
import type { Store } from "../store/store.js";
import type { TextFile } from "../store/text-file.js";
import { FindSession } from "./find-session.js";
import type { LoadedBoard } from "./load-board.js";
import { checkLogBoard, type LogFile, readLog } from "./read-log.js";

/**
 * Makes a board ready for finding; takes about a second for a board of a hundred parts. Throws `Cancelled` if
 * `progress` says so.
 */
export function prepareFind(store: Store, { board, types }: LoadedBoard, progress?: Progress): PreparedBoard {
  const data = {
    types,
    model: store.data.findModel(),
    failure: store.data.failureData(),
    costs: store.data.findCosts(),
  };
  return prepareBoard(board, data, progress);
}

/**
 * Works a log out on a board; without a file, an empty log. The value is absent if the log does not fit its form, or if
 * any of its entries could not be placed on the board: a ranking that leaves out what somebody saw would mislead.
 * `instruments` replace those the log names. Throws `log-board-mismatch`.
 */
export function openLog(
  store: Store,
  loaded: LoadedBoard,
  options: { readonly file?: TextFile; readonly instruments?: Case["instruments"] },
): Parsed<FindSession> {
  const { file, instruments } = options;
  const read = file === undefined ? emptyLog(loaded) : readLog(file);
  if (read.value === undefined) return { problems: read.problems };
  const { log, locate } = read.value;
  checkLogBoard(log, loaded.board);
  const opened = FindSession.open(prepareFind(store, loaded), {
    ...log,
    instruments: instruments ?? log.instruments,
  });
  const problems = [...read.problems, ...opened.problems.map(locate)];
  return opened.value === undefined ? { problems } : { value: opened.value, problems };
}

function emptyLog({ board }: LoadedBoard): Parsed<LogFile> {
  const log: Case = { board: board.id, instruments: ["multimeter", "logic-probe"], entries: [] };
  return { value: { log, locate: (problem) => problem }, problems: [] };
}
