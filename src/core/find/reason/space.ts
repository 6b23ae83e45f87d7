import type { Effect, Fault } from "../faults/fault.js";
import type { FindModel } from "../model/model.js";
import type { Circuit } from "../settle/build.js";
import { machineObservables } from "../table/chain.js";
import type { EffectTable } from "../table/effect-table.js";

/**
 * All single-fault hypotheses of a board with their effects: what reasoning works on. A fault has one entry for each
 * row of its effect (a crashed processor has several), so that readings behind a crash are scored together.
 * Entry 0 is health, entry 1 is "not in this model"; fault indices in entries are offset by 2 likewise.
 */
export interface FaultSpace {
  readonly circuit: Circuit;
  readonly model: FindModel;
  readonly faults: readonly Fault[];
  readonly effects: readonly Effect[];
  readonly table: EffectTable;
  /** Hypothesis of each entry: 0 health, 1 not in this model, 2 + fault index. */
  readonly hypothesisOf: Int32Array;
  /** Row of each entry in the effect table (0 for health and not-in-model). */
  readonly rowOf: Int32Array;
  readonly logWeight: Float64Array;
  /** 0 permanent, 1 warm-only, 2 intermittent. */
  readonly timeOf: Uint8Array;
  /** First entry of each hypothesis; length hypotheses + 1. */
  readonly firstEntry: Int32Array;
  /** Healthy rate of each net in hertz, 0 where none is known. */
  readonly rates: Float64Array;
  /** Views of all rows; the first is health. */
  readonly views: readonly RowView[];
  readonly health: RowView;
  /** By hypothesis its fault as a list of one, empty for health and not-in-model. */
  readonly faultLists: readonly (readonly Fault[])[];
  /** Prior odds of each hypothesis against health. */
  readonly odds: Float64Array;
}

export const healthHypothesis = 0;
export const notInModelHypothesis = 1;
const firstFault = 2;

export function hypothesisOfFault(fault: number): number {
  return fault + firstFault;
}

/** The fault behind a hypothesis, or undefined for health and not-in-model. */
export function faultOfHypothesis(space: FaultSpace, hypothesis: number): Fault | undefined {
  return hypothesis < firstFault ? undefined : space.faults[hypothesis - firstFault];
}

/**
 * Lays out the space. `expectedFaults` is the mean number of faults on a machine that is brought in: prior odds are
 * scaled so that they sum to it.
 */
export function createSpace(options: {
  circuit: Circuit;
  model: FindModel;
  faults: readonly Fault[];
  effects: readonly Effect[];
  table: EffectTable;
  expectedFaults: number;
  rates: Float64Array;
}): FaultSpace {
  const { faults, table, model } = options;
  const hypothesisCount = faults.length + firstFault;
  const firstEntry = new Int32Array(hypothesisCount + 1);
  const rows: number[] = [0, 0];
  const owners: number[] = [healthHypothesis, notInModelHypothesis];
  const times: number[] = [0, 0];
  firstEntry[1] = 1;
  const timeCode = { permanent: 0, "warm-only": 1, intermittent: 2 } as const;
  for (const [f, fault] of faults.entries()) {
    firstEntry[f + firstFault] = rows.length;
    const from = table.firstRow[fault.effect] as number;
    const to = table.firstRow[fault.effect + 1] as number;
    for (let row = from; row < to; row += 1) {
      rows.push(row);
      owners.push(f + firstFault);
      times.push(timeCode[fault.manifestation]);
    }
  }
  firstEntry[hypothesisCount] = rows.length;
  const total = faults.reduce((sum, fault) => sum + fault.odds, 0);
  const odds = new Float64Array(hypothesisCount);
  odds[healthHypothesis] = model.nothingWrongPrior;
  odds[notInModelHypothesis] = model.notInModelPrior * options.expectedFaults;
  for (const [f, fault] of faults.entries())
    odds[f + firstFault] = (fault.odds / total) * options.expectedFaults;
  const views = Array.from({ length: table.rowCount }, (_, row) => rowView({ table }, row));
  const health = rowView({ table }, 0);
  return {
    views,
    health,
    rates: options.rates,
    faultLists: [[], [], ...faults.map((fault) => [fault])],
    circuit: options.circuit,
    model,
    faults,
    effects: options.effects,
    table,
    hypothesisOf: Int32Array.from(owners),
    rowOf: Int32Array.from(rows),
    logWeight: Float64Array.from(rows, (row, i) =>
      i < firstFault ? 0 : Math.log(table.weight[row] as number),
    ),
    timeOf: Uint8Array.from(times),
    firstEntry,
    odds,
  };
}

/** One row of an effect table, or a row settled on its own: what every net shows and what the machine does. */
export interface RowView {
  readonly nets: Uint8Array;
  readonly netBase: number;
  readonly machine: Uint8Array;
  readonly machineBase: number;
}

/** View of a row of the space's table. */
export function rowView(space: Pick<FaultSpace, "table">, row: number): RowView {
  const { nets, machine, netCount } = space.table;
  return { nets, netBase: row * netCount, machine, machineBase: row * machineObservables.length };
}

/** Value of a net in a row. */
export function netCode(view: RowView, net: number): number {
  return view.nets[view.netBase + net] as number;
}

/** State of a machine observable in a row. */
export function machineCode(view: RowView, observable: number): number {
  return view.machine[view.machineBase + observable] as number;
}
