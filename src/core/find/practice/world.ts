import type { Fault } from "../faults/fault.js";
import type { FindModel } from "../model/model.js";
import type { PreparedBoard } from "../prepare.js";
import { faultIntensity } from "../priors/expected-faults.js";
import { structures } from "../priors/fault-family.js";
import { createSpace, type FaultSpace } from "../reason/space.js";
import { processorStates } from "../settle/engine.js";
import { crashModes } from "../table/effect-table.js";
import type { Perturbation } from "./perturb.js";

/**
 * The world in which practice answers: which faults there are and how often, how crashed programs behave, and how far
 * instruments and people err. Either the engine's own model or a perturbed one; what faults do to the board is the
 * same in both.
 */
export interface PracticeWorld {
  /** Space of the world's own model, for its error tables. */
  readonly space: FaultSpace;
  /** [faults] how often each fault comes, in any unit. */
  readonly weights: Float64Array;
  /** [rows of the effect table] share of each row in its effect. */
  readonly rowShare: Float64Array;
}

/** The world as the engine believes it to be, or one perturbed. */
export function createWorld(prepared: PreparedBoard, perturbation?: Perturbation): PracticeWorld {
  const model = perturbation?.model ?? prepared.data.model;
  const { circuit, list, table, rates } = prepared;
  const space = createSpace({
    circuit,
    model,
    faults: list.faults,
    effects: list.effects,
    table,
    rates,
    // The world holds exactly one fault; the number expected plays no part in drawing it.
    expectedFaults: faultIntensity(1.5),
  });
  const weights = Float64Array.from(
    list.faults,
    (fault) => fault.odds * (perturbation?.factorOf(familyOfFault(prepared, fault)) ?? 1),
  );
  return { space, weights, rowShare: rowShares(prepared, model) };
}

/** Failure family of a fault: that of the part, or the structure that is broken. */
export function familyOfFault(prepared: PreparedBoard, fault: Fault): string {
  if (fault.mode === "wrong-part") return "wrong-part";
  const structure = structures.find((name) => name === fault.site);
  return structure ?? prepared.circuit.wiring.parts[fault.part]?.type.family ?? "none";
}

/** A crash has one row for each crash mode; only their shares depend on the model. */
function rowShares(prepared: PreparedBoard, model: FindModel): Float64Array {
  const { table } = prepared;
  const shares = new Map<string, number>(crashModes(model));
  return Float64Array.from(table.state, (code, row) => {
    const state = processorStates[code] ?? "running";
    const mode = state.replace(/^(?:early|late)-/, "");
    return shares.get(mode) ?? (table.weight[row] as number);
  });
}

/** True if the machine as its user meets it differs from health while the fault shows. */
export function showsItself(space: FaultSpace, fault: Fault): boolean {
  const { table, health } = space;
  const from = table.firstRow[fault.effect] as number;
  const to = table.firstRow[fault.effect + 1] as number;
  const width = table.machine.length / table.rowCount;
  for (let row = from; row < to; row += 1) {
    for (let i = 0; i < width; i += 1)
      if (table.machine[row * width + i] !== health.machine[health.machineBase + i]) return true;
  }
  return false;
}
