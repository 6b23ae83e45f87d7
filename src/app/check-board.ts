import { checkBoard, unexplainedFindings } from "../core/board/check/check-board.js";
import type { Finding } from "../core/board/check/finding.js";
import { buildCircuit, type UnexplainedNet } from "../core/find/settle/build.js";
import type { LoadedBoard } from "./load-board.js";

/** What the check of a board found. */
export interface BoardCheck {
  readonly board: string;
  readonly title: string;
  readonly parts: number;
  readonly nets: number;
  /** All findings by rule; those with `explained` are as they should be. */
  readonly findings: readonly Finding[];
  /** How many findings nobody has explained. */
  readonly unexplained: number;
  /** Nets whose value on the healthy board the model cannot account for. */
  readonly unsettled: readonly UnexplainedNet[];
}

/** Checks a board's circuit by rule, and settles the healthy board to see whether every net can be accounted for. */
export function checkLoadedBoard({ board, types }: LoadedBoard): BoardCheck {
  const findings = checkBoard(board, types);
  const circuit = buildCircuit(board, types);
  return {
    board: board.id,
    title: board.title,
    parts: board.parts.length,
    nets: circuit.wiring.nets.length,
    findings,
    unexplained: unexplainedFindings(findings).length,
    unsettled: circuit.unexplained,
  };
}
