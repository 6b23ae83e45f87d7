import { type Evidence, shownChance } from "../../src/core/find/evidence/evidence.js";
import type { Timeline } from "../../src/core/find/evidence/timeline.js";
import type { Change } from "../../src/core/find/faults/change.js";
import type { Fault } from "../../src/core/find/faults/fault.js";
import type { PreparedBoard } from "../../src/core/find/prepare.js";
import { type RowView, rowView } from "../../src/core/find/reason/space.js";
import { buildCircuit } from "../../src/core/find/settle/build.js";
import { buildEffectTable } from "../../src/core/find/table/effect-table.js";
import { weighHistoriesNaively } from "./history.naive.js";

/** One way in which the machine behaves with a fault in it, and its share. */
export interface FreshRow {
  readonly view: RowView;
  readonly share: number;
}

/** Settles changes on a circuit built for nothing else: nothing is remembered or shared. */
export function settleFresh(prepared: PreparedBoard, changes: readonly Change[]): FreshRow[] {
  const circuit = buildCircuit(prepared.board, prepared.data.types);
  const effects = [
    { key: "", changes: [], parts: [] },
    { key: "x", changes, parts: [] },
  ];
  const table = buildEffectTable(circuit, effects, prepared.data.model);
  const rows: FreshRow[] = [];
  for (let row = table.firstRow[1] ?? 0; row < (table.firstRow[2] ?? 0); row += 1)
    rows.push({ view: rowView({ table }, row), share: table.weight[row] ?? 0 });
  return rows;
}

const timeCode = { permanent: 0, "warm-only": 1, intermittent: 2 } as const;

/**
 * Log weight of the hypothesis that these faults (one or two) are or were there, straight from its definition: settle
 * each subset freshly, multiply the likelihoods of an epoch row by row, sum over rows and histories. For two faults
 * that come and go at most one row each is allowed, because which rows belong together is then not defined.
 */
export function weighNaively(
  prepared: PreparedBoard,
  timeline: Timeline,
  faults: readonly Fault[],
  odds: readonly number[],
): { readonly logWeight: number; readonly present: readonly number[] } {
  const { effects } = prepared.list;
  const changesOf = (present: number): Change[] =>
    faults.flatMap((fault, f) => ((present >> f) & 1 ? [...(effects[fault.effect]?.changes ?? [])] : []));
  const rowsOf = Array.from({ length: 2 ** faults.length }, (_, present) =>
    settleFresh(prepared, changesOf(present)),
  );
  const faultsOf = (present: number): Fault[] => faults.filter((_, f) => (present >> f) & 1);
  const certain = faults.every((fault) => fault.manifestation === "permanent");
  if (!certain && faults.length > 1 && rowsOf.some((rows) => rows.length > 1))
    throw new RangeError("two faults, one of which comes and goes, must not crash the processor");

  /** Likelihood if of the faults that are there exactly those of `shown` show at this moment. */
  const likelihood = (evidence: Evidence, view: RowView, shown: number): number =>
    evidence.likelihoodOf(view, faultsOf(shown));

  const logLikelihood = (epoch: number, present: number): number => {
    let sum = 0;
    for (const row of rowsOf[present] ?? []) {
      let product = row.share;
      for (const evidence of timeline.epochs[epoch] ?? []) {
        const chances = faults.map((fault) =>
          shownChance(timeCode[fault.manifestation], evidence.condition, prepared.data.model),
        );
        let mixed = 0;
        for (let shown = 0; shown <= present; shown += 1) {
          if ((shown & present) !== shown) continue;
          let chance = 1;
          for (const [f, own] of chances.entries())
            if ((present >> f) & 1) chance *= (shown >> f) & 1 ? own : 1 - own;
          if (chance === 0) continue;
          const view = shown === present ? row.view : rowsOf[shown]?.[0]?.view;
          if (view === undefined) throw new RangeError("no row");
          mixed += chance * likelihood(evidence, view, shown);
        }
        product *= mixed;
      }
      sum += product;
    }
    return Math.log(sum);
  };
  const { weight, presentWeight } = weighHistoriesNaively(
    timeline.epochs.length,
    timeline.boundaries,
    faults,
    odds,
    faults.map(() => []),
    logLikelihood,
  );
  return { logWeight: Math.log(weight), present: presentWeight.map((own) => own / weight) };
}
