import type { Fault } from "../faults/fault.js";
import { type FindModel, type InstrumentModel, levelKeys } from "../model/model.js";
import { type FaultSpace, machineCode, netCode, type RowView } from "../reason/space.js";
import { isWrong, Level, levelCount, levelMask, wrongFlag } from "../settle/value.js";
import { type MachineObservable, machineObservables, machineStates } from "../table/chain.js";
import { noState } from "../table/effect-table.js";
import { blurred, chanceWiredOtherwise } from "./assumed-wiring.js";
import type { Look } from "./look-shape.js";

export type { Look } from "./look-shape.js";

const codesOfLevels = levelCount * 2;

/** Code of a net value: its level, plus `levelCount` if its information is wrong. */
export function levelCode(value: number): number {
  return (value & levelMask) + (isWrong(value) ? levelCount : 0);
}

/** The leg of a part against the net it belongs to: a cut contact or track parts the two. */
export function valueAtPin(
  space: FaultSpace,
  view: RowView,
  net: number,
  pin: number,
  faults: readonly Fault[],
): number {
  const value = net < 0 ? Level.floating : netCode(view, net);
  if (pin < 0 || !faults.some((fault) => fault.signs.cutPin === pin)) return value;
  const kind = space.circuit.wiring.pins[pin]?.kind;
  if (kind === "power") return Level.railAbsent | wrongFlag;
  // The driving leg still shows what the chip puts out; a listening leg hangs in the air.
  return kind === "in" || kind === "passive"
    ? Level.floating | wrongFlag
    : net < 0
      ? value
      : netCode(space.health, net);
}

function instrumentTable(
  model: InstrumentModel,
  adjust: (code: number, row: number[]) => number[] = (_, row) => row,
): Float64Array {
  const outcomeCount = model.outcomes.length;
  const table = new Float64Array(codesOfLevels * outcomeCount);
  for (let code = 0; code < codesOfLevels; code += 1) {
    const key = levelKeys[code % levelCount];
    const own =
      (key === undefined ? undefined : model.levels[key]) ?? model.outcomes.map(() => 1 / outcomeCount);
    const row = adjust(code, own);
    for (let o = 0; o < outcomeCount; o += 1) table[code * outcomeCount + o] = row[o] ?? 0;
  }
  return table;
}

function instrumentOf(model: FindModel, name: string): InstrumentModel {
  const found = model.instruments[name];
  if (found === undefined) throw new RangeError(`the find model knows no instrument called ${name}`);
  return found;
}

/** A level seen at a net, or at one leg of it, with a logic probe, an oscilloscope or a multimeter. */
export function levelLook(
  space: FaultSpace,
  instrument: "logic-probe" | "oscilloscope" | "multimeter",
  net: number,
  pin: number,
  rateKnown: boolean,
): Look {
  const model = instrumentOf(space.model, instrument);
  const pulsing = model.outcomes.indexOf("pulsing");
  const wrongRate = model.outcomes.indexOf("wrong-rate");
  const swap = (code: number, row: number[]): number[] => {
    // On a net whose healthy rate is known, moving with wrong information mostly means a wrong rate.
    if (!rateKnown || wrongRate < 0 || code !== Level.pulsing + levelCount) return row;
    const shared = (row[pulsing] ?? 0) + (row[wrongRate] ?? 0);
    return row.map((p, o) => (o === pulsing ? shared * 0.25 : o === wrongRate ? shared * 0.75 : p));
  };
  const look: Look = {
    outcomes: model.outcomes,
    codeCount: codesOfLevels,
    likelihood: instrumentTable(model, swap),
    codeOf: (view, faults) => levelCode(valueAtPin(space, view, net, pin, faults)),
  };
  return blurred(look, chanceWiredOtherwise(space.circuit.wiring, net, pin));
}

/** The voltage of a rail, or its ripple, at the rail or at one leg. */
export function railLook(
  space: FaultSpace,
  meter: "rail-meter" | "ripple-meter",
  net: number,
  pin: number,
): Look {
  const model = instrumentOf(space.model, meter);
  return {
    outcomes: model.outcomes,
    codeCount: codesOfLevels,
    likelihood: instrumentTable(model),
    codeOf: (view, faults) => levelCode(valueAtPin(space, view, net, pin, faults)),
  };
}

/** A net compared with the same net of a good machine: shows whether the information is right. */
export function comparisonLook(space: FaultSpace, net: number, pin: number): Look {
  const { comparisonDiffersWhenRight: claimed, comparisonDiffersWhenWrong: seen } = space.model.errors;
  const look: Look = {
    outcomes: ["same", "different"],
    codeCount: 2,
    likelihood: Float64Array.of(1 - claimed, claimed, 1 - seen, seen),
    codeOf: (view, faults) => (isWrong(valueAtPin(space, view, net, pin, faults)) ? 1 : 0),
  };
  return blurred(look, chanceWiredOtherwise(space.circuit.wiring, net, pin));
}

/** What the machine as a whole does. Undefined where the board has no such thing. */
export function machineLook(space: FaultSpace, observable: MachineObservable): Look | undefined {
  const at = machineObservables.indexOf(observable);
  const model = space.model.observables.find((o) => o.id === observable);
  if (model === undefined || machineCode(space.health, at) === noState) return undefined;
  const states: readonly string[] = machineStates[observable];
  const outcomeCount = model.outcomes.length;
  const likelihood = new Float64Array(states.length * outcomeCount);
  for (const [s, state] of states.entries()) {
    const row = model.states[state];
    if (row === undefined) throw new RangeError(`the find model has no state ${state} of ${observable}`);
    likelihood.set(row, s * outcomeCount);
  }
  return {
    outcomes: model.outcomes,
    codeCount: states.length,
    likelihood,
    codeOf: (view) => machineCode(view, at),
  };
}

/** A look with two codes: the sign is there or it is not. */
export function signLook(
  outcomes: readonly [absent: string, present: string],
  rates: { seen: number; claimed: number },
  present: (fault: Fault, view: RowView) => boolean,
): Look {
  return {
    outcomes,
    codeCount: 2,
    likelihood: Float64Array.of(1 - rates.claimed, rates.claimed, 1 - rates.seen, rates.seen),
    codeOf: (view, faults) => (faults.some((fault) => present(fault, view)) ? 1 : 0),
  };
}
