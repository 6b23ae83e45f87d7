import type { CaseEntry, Instrument } from "../case/case.js";
import { instruments } from "../case/case.js";
import { bindReading } from "../evidence/bind-reading.js";
import { type Look, machineLook } from "../evidence/look.js";
import { memoryVerdicts, selfTestLook } from "../evidence/looks-memory.js";
import { otherSupplyLook, piggybackLook, provocationLook, removalLook } from "../evidence/looks-passive.js";
import { nothingFound } from "../evidence/looks-sweep.js";
import { isMisplaced, placeNamed } from "../evidence/place-name.js";
import type { FindModel } from "../model/model.js";
import type { RepairKind } from "../plan/costs.js";
import type { FaultSpace } from "../reason/space.js";
import { machineObservables } from "../table/chain.js";

/** A reading to be answered; `id`, `at` and `with` as a next step names them. */
export interface ReadingAsked {
  readonly action: "reading";
  readonly id: string;
  readonly at: string;
  readonly with: string;
  readonly minutes: number;
}

/** A repair to be tried. */
export interface RepairAsked {
  readonly action: "repair";
  readonly id: string;
  readonly part: string;
  readonly repair: RepairKind;
  /** Work and check. */
  readonly minutes: number;
  readonly money: number;
  readonly riskMinutes: number;
}

export type PracticeStep = ReadingAsked | RepairAsked;

/** How a reading is looked up and written down. */
export interface StepReading {
  readonly look: Look;
  readonly powered: boolean;
  /** Log entry for one of the outcomes of the look. */
  entryOf(outcome: string): CaseEntry;
}

/** Kinds of reading that are logged as plain readings, with one outcome each that any of them can have. */
const plainReadings: Readonly<Record<string, { readonly sample: string; readonly unpowered?: true }>> = {
  "logic-probe": { sample: "low" },
  oscilloscope: { sample: "low" },
  multimeter: { sample: "low" },
  twin: { sample: "same" },
  current: { sample: "normal" },
  visual: { sample: "clean" },
  heat: { sample: "normal" },
  tester: { sample: "pass" },
  short: { sample: "normal", unpowered: true },
  continuity: { sample: "rings", unpowered: true },
  neighbours: { sample: "clear", unpowered: true },
  device: { sample: "normal", unpowered: true },
  rail: { sample: "good" },
  "rail-at": { sample: "good" },
  ripple: { sample: "smooth" },
  "heat-sweep": { sample: nothingFound },
  "visual-sweep": { sample: nothingFound, unpowered: true },
  "lifted-part": { sample: "normal", unpowered: true },
  "rail-drop": { sample: nothingFound },
};

/**
 * The reading a step asks for: its outcomes and how it is logged. Throws `RangeError` for a step that no plan makes
 * or a place the board does not have.
 */
export function readingOfStep(space: FaultSpace, step: ReadingAsked): StepReading {
  const kind = step.id.split(":", 1)[0] ?? "";
  if (plainReadings[kind] !== undefined) return plainReading(space, step, kind);
  switch (kind) {
    case "symptom":
      return symptomReading(space, step.at);
    case "piggyback": {
      const part = partOf(space, step.at);
      return {
        look: piggybackLook(space, part),
        powered: true,
        entryOf: (outcome) => ({ kind: "piggyback", part: step.at, result: fixedOrNot(outcome) }),
      };
    }
    case "removal":
    case "lifted":
      return removalReading(space, step.at);
    case "self-test": {
      const look = selfTestLook(space);
      if (look === undefined) throw new RangeError("the board has no memory to test");
      return { look, powered: true, entryOf: selfTestEntry };
    }
    case "other-supply":
      return {
        look: otherSupplyLook(space),
        powered: true,
        entryOf: (outcome) => ({ kind: "other-supply", result: fixedOrNot(outcome) }),
      };
    case "warmed":
    case "cooled":
    case "flexed":
      return {
        look: provocationLook(space, kind, -1),
        powered: true,
        entryOf: (outcome) => ({ kind, result: outcome === "changed" ? "appears" : "unchanged" }),
      };
    default:
      throw new RangeError(`no reading is called ${step.id}`);
  }
}

/** The symptom entry for an outcome of a machine observable. Throws `RangeError` if the model words none. */
export function symptomEntry(
  model: FindModel,
  observable: string,
  outcome: string,
): Extract<CaseEntry, { kind: "symptom" }> {
  const found = model.symptoms.find((s) => s.observable === observable && s.outcome === outcome);
  if (found === undefined) throw new RangeError(`no symptom says that ${observable} is ${outcome}`);
  return { kind: "symptom", what: found.id };
}

function fixedOrNot(outcome: string): "fixed" | "unchanged" {
  return outcome === "fixed" ? "fixed" : "unchanged";
}

/** The log entry for what a self-test in ROM says: one of its verdicts, or the chip it names. */
export function selfTestEntry(outcome: string): Extract<CaseEntry, { kind: "memory-test" }> {
  const verdict = memoryVerdicts.find((one) => one === outcome);
  return verdict === undefined
    ? {
        kind: "memory-test",
        by: "self-test",
        verdict: "causes",
        causes: [{ share: 1, parts: [{ part: outcome }] }],
      }
    : { kind: "memory-test", by: "self-test", verdict };
}

function plainReading(space: FaultSpace, step: ReadingAsked, kind: string): StepReading {
  const instrument = instruments.find((name) => name === step.with);
  const plain = plainReadings[kind];
  if (instrument === undefined || plain === undefined)
    throw new RangeError(`no instrument is called ${step.with}`);
  const entryOf = (outcome: string) => readingEntry(space, step.at, instrument, kind, outcome);
  const bound = bindReading(space, entryOf(plain.sample));
  if ("problem" in bound) throw new RangeError(bound.problem.message);
  return { look: bound.look, powered: bound.powered, entryOf };
}

function readingEntry(
  space: FaultSpace,
  at: string,
  instrument: Instrument,
  kind: string,
  outcome: string,
): Extract<CaseEntry, { kind: "reading" }> {
  const entry = { kind: "reading", at, with: instrument } as const;
  if (kind === "rail" || kind === "rail-at") return { ...entry, volts: voltsOf(space, at, outcome) };
  if (kind === "ripple") return { ...entry, rippleVolts: rippleOf(space, at, outcome) };
  if (kind === "lifted-part") return { ...entry, shows: outcome, when: "unpowered", outOfCircuit: true };
  if (plainReadings[kind]?.unpowered === true) return { ...entry, shows: outcome, when: "unpowered" };
  return { ...entry, shows: outcome };
}

function railOf(space: FaultSpace, at: string): { nominalVolt: number; tolerance: number; raw: boolean } {
  const place = placeNamed(space.circuit, at);
  const net = isMisplaced(place) || !("net" in place) ? undefined : space.circuit.wiring.nets[place.net];
  const rail = space.circuit.wiring.board.rails.find((r) => r.net === net);
  if (rail === undefined) throw new RangeError(`there is no rail at '${at}'`);
  return {
    nominalVolt: rail.nominalVolt,
    tolerance: rail.tolerancePercent / 100,
    raw: rail.raw === true,
  };
}

/** A voltage well inside what an outcome stands for: nothing is told by how close to a limit it is. */
function voltsOf(space: FaultSpace, at: string, outcome: string): number {
  const { nominalVolt, tolerance } = railOf(space, at);
  const share: Readonly<Record<string, number>> = {
    absent: 0,
    "too-low": Math.max(0.3, 1 - 2 * tolerance),
    good: 1,
    "too-high": 1 + 2 * tolerance,
  };
  return Number((nominalVolt * (share[outcome] ?? 1)).toFixed(2));
}

/** Ripple a quarter of what is allowed, or four times that; the limits are those of `bindReading`. */
function rippleOf(space: FaultSpace, at: string, outcome: string): number {
  const { nominalVolt, raw } = railOf(space, at);
  const limit = Math.abs(nominalVolt) * (raw ? 0.15 : 0.02);
  return Number((limit * (outcome === "rippled" ? 4 : 0.25)).toFixed(4));
}

function symptomReading(space: FaultSpace, at: string): StepReading {
  const observable = machineObservables.find((name) => name === at);
  const look = observable === undefined ? undefined : machineLook(space, observable);
  if (look === undefined) throw new RangeError(`the board file does not describe '${at}'`);
  return { look, powered: true, entryOf: (outcome) => symptomEntry(space.model, at, outcome) };
}

function partOf(space: FaultSpace, ref: string): number {
  const part = space.circuit.wiring.partIndex.get(ref);
  if (part === undefined) throw new RangeError(`there is no part ${ref}`);
  return part;
}

/** `at` names the part or leg and, after a space, the line that is watched. */
function removalReading(space: FaultSpace, at: string): StepReading {
  const gap = at.indexOf(" ");
  const name = at.slice(0, gap);
  const line = at.slice(gap + 1);
  const net = space.circuit.wiring.netIndex.get(line);
  if (gap < 0 || net === undefined) throw new RangeError(`'${at}' does not name a part and a line`);
  const pin = name.includes(".") ? (space.circuit.wiring.pinIndex.get(name) ?? -1) : -1;
  const part = pin < 0 ? partOf(space, name) : (space.circuit.wiring.pins[pin]?.part ?? -1);
  return {
    look: removalLook(space, part, pin, net),
    powered: true,
    entryOf: (outcome) => ({
      kind: "removed",
      part: name,
      at: `net:${line}`,
      shows: outcome === "freed" ? "freed" : "unchanged",
    }),
  };
}
