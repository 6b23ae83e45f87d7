import type { Board } from "../board/board.js";
import { grouped } from "./faults/effect-classes.js";
import { enumerateFaults, type FaultList } from "./faults/enumerate.js";
import { oddsFromPriors } from "./faults/odds.js";
import type { FindModel } from "./model/model.js";
import type { FindCosts } from "./plan/costs.js";
import { boardPriors } from "./priors/board-priors.js";
import { faultIntensity } from "./priors/expected-faults.js";
import type { FailureData } from "./priors/failure-data.js";
import { PairSettler } from "./reason/pair-settler.js";
import type { RememberedSpace } from "./reason/remembered.js";
import { createSpace } from "./reason/space.js";
import { buildCircuit, type Circuit } from "./settle/build.js";
import type { TypeSource } from "./settle/circuit.js";
import { healthyRates } from "./settle/rates.js";
import { buildEffectTable, type EffectTable, type Progress } from "./table/effect-table.js";

/** The data the find engine works from besides the board. */
export interface FindData {
  readonly types: TypeSource;
  readonly model: FindModel;
  readonly failure: FailureData;
  readonly costs: FindCosts;
}

/** A board made ready: its circuit, its single faults, their effects settled. Serves any number of cases. */
export interface PreparedBoard {
  readonly board: Board;
  readonly data: FindData;
  readonly circuit: Circuit;
  readonly list: FaultList;
  readonly table: EffectTable;
  /** Class of each effect: effects whose rows are equal share one. */
  readonly effectClass: Int32Array;
  /** Healthy rate of each net in hertz, by net; 0 where none is known. */
  readonly rates: Float64Array;
  readonly pairSettler: PairSettler;
  /** Spaces made so far, by their priors; filled by `solveCase`. */
  readonly spaces: Map<string, RememberedSpace>;
}

/**
 * Makes a board ready for finding: the slow part, done once. Throws `RangeError` for a board whose part types are
 * unknown, and `Cancelled` if `progress` says so.
 */
export function prepareBoard(board: Board, data: FindData, progress?: Progress): PreparedBoard {
  const circuit = buildCircuit(board, data.types);
  const priors = boardPriors(data.failure, board, (name) => data.types.get(name));
  const list = enumerateFaults(circuit, oddsFromPriors(data.failure, priors));
  const table = buildEffectTable(circuit, list.effects, data.model, progress);
  const rates = healthyRates(circuit);
  const space = createSpace({
    circuit,
    model: data.model,
    faults: list.faults,
    effects: list.effects,
    table,
    rates,
    expectedFaults: faultIntensity(priors.expectedFaults),
  });
  return {
    board,
    data,
    circuit,
    list,
    table,
    effectClass: grouped(table, list.effects.length),
    rates,
    pairSettler: new PairSettler(space),
    spaces: new Map(),
  };
}
