import type { Board } from "../../src/core/board/board.js";
import { type Case, caseSchema } from "../../src/core/find/case/case.js";
import { findCostsSchema } from "../../src/core/find/plan/costs.js";
import { type FindData, type PreparedBoard, prepareBoard } from "../../src/core/find/prepare.js";
import type { FaultSpace } from "../../src/core/find/reason/space.js";
import { solveCase } from "../../src/core/find/solve.js";
import { loadBoard } from "../boards/support.js";
import { loadFindModel } from "./board-effects.js";
import { readInstalledFailureData } from "./failure-data.js";
import { readPartLibrary } from "./part-types.js";
import { readRepositoryFile } from "./source-files.js";
import { tinyBoard } from "./tiny-board.js";

let data: FindData | undefined;
const boards = new Map<string, PreparedBoard>();

/** Everything the find engine works from besides the board, as it is delivered; read once for each test file. */
export function installedFindData(): FindData {
  data ??= {
    types: readPartLibrary(),
    model: loadFindModel(),
    failure: readInstalledFailureData(),
    costs: findCostsSchema.parse(JSON.parse(readRepositoryFile("data/find/costs.json"))),
  };
  return data;
}

/** A board of data/boards, made ready once for each test file: the slow part of working a case out. */
export function preparedBoard(id: "pellow-16" | "merrow"): PreparedBoard {
  const known = boards.get(id);
  if (known !== undefined) return known;
  const prepared = prepareBoard(loadBoard(id), installedFindData());
  boards.set(id, prepared);
  return prepared;
}

/** A board in the one-line notation of {@link tinyBoard}, made ready; not remembered. */
export function preparedTinyBoard(text: string, more: Partial<Board> = {}): PreparedBoard {
  return prepareBoard(tinyBoard(text, more), installedFindData());
}

/** The fault space of a board under its plain priors. */
export function plainSpace(prepared: PreparedBoard): FaultSpace {
  return solveCase(prepared, caseOf([]), { candidates: 2, settle: 0 }).space;
}

/** An entry of a log as a user would type it, not yet checked. */
export type TypedEntry = Readonly<Record<string, unknown>> & { readonly kind: string };

/** A case with these entries, checked against its schema; `more` sets its other fields. */
export function caseOf(entries: readonly TypedEntry[], more: Readonly<Record<string, unknown>> = {}): Case {
  return caseSchema.parse({ ...more, entries });
}

/** Shorthand for entries of the commonest kinds. */
export const entry = {
  gate: { kind: "gate", id: "supply", state: "passed" },
  symptom: (what: string, more: Readonly<Record<string, unknown>> = {}) => ({
    kind: "symptom",
    what,
    ...more,
  }),
  probe: (at: string, shows: string, more: Readonly<Record<string, unknown>> = {}) => ({
    kind: "reading",
    at,
    with: "logic-probe",
    shows,
    ...more,
  }),
  volts: (at: string, volts: number, more: Readonly<Record<string, unknown>> = {}) => ({
    kind: "reading",
    at,
    with: "multimeter",
    volts,
    ...more,
  }),
} as const;
