import type { BoardPhase } from "../../board/board.js";
import { Clock, clockOf } from "./clock.js";
import { Supply } from "./condition.js";
import type { Element, Engine, ProcessorState } from "./engine.js";
import { copyValue, planeCount, planeShift, putValue } from "./planes.js";
import { type ResetPath, resetNeverComes } from "./reset-path.js";
import { putResting } from "./resting.js";
import { Level, wrongFlag } from "./value.js";

/** Pins and drivers of a processor by duty. */
export interface ProcessorWiring {
  readonly part: number;
  readonly supplies: readonly number[];
  readonly clock: readonly number[];
  readonly reset: { readonly pin: number; readonly active: "low" | "high" };
  readonly holds: readonly {
    readonly pin: number;
    readonly active: "low" | "high";
    readonly effect: string;
  }[];
  readonly interrupts: readonly { readonly pin: number; readonly active: "low" | "high" }[];
  readonly address: readonly { readonly pin: number; readonly driver: number }[];
  readonly data: readonly { readonly pin: number; readonly driver: number }[];
  /** Control outputs with their level in each kind of cycle. */
  readonly controls: readonly {
    readonly driver: number;
    readonly levels: Readonly<Record<string, "low" | "high">>;
  }[];
  /** Clock outputs it derives from its clock input. */
  readonly clockOutputs: readonly number[];
  /** Phases in which it reads the code it starts with. */
  readonly startPhases: number;
  /** Phases in which it reads its stack and variables. */
  readonly workspacePhases: number;
  /** Parts that hold its programs. */
  readonly roms: readonly number[];
}

const transferCycles = new Set(["fetch", "memory-read", "memory-write", "io-read", "io-write"]);
const writeCycles = new Set(["memory-write", "io-write"]);
const readCycles = new Set(["fetch", "memory-read", "io-read"]);

/** One output of the processor. */
interface ProcessorOutput {
  readonly driver: number;
  readonly valueIn: (state: ProcessorState, phase: BoardPhase) => number;
}

/**
 * The processor's outputs under the state the engine is told to assume. What it reads decides that state, but
 * outside of the settling (`judgeProcessor`): so a loop through bus, memory and processor never chases itself.
 */
export function processorElement(own: ProcessorWiring): Element {
  const out = new Int32Array(planeCount);
  const outputs: readonly ProcessorOutput[] = [
    ...own.address.map(
      (line, i): ProcessorOutput => ({
        driver: line.driver,
        valueIn: (state, phase) => addressValue(state, phase, i),
      }),
    ),
    ...own.data.map((line): ProcessorOutput => ({ driver: line.driver, valueIn: dataValue })),
    ...own.controls.map(
      (line): ProcessorOutput => ({
        driver: line.driver,
        valueIn: (state, phase) => controlValue(state, phase, line.levels),
      }),
    ),
  ];
  /** Values of the outputs by processor state, worked out when first needed. */
  const known = new Map<ProcessorState, Int32Array>();
  const valuesIn = (engine: Engine, state: ProcessorState): Int32Array => {
    const before = known.get(state);
    if (before !== undefined) return before;
    const values = new Int32Array(outputs.length << planeShift);
    for (const [i, { valueIn }] of outputs.entries()) {
      for (const [k, phase] of engine.wiring.board.phases.entries()) {
        putValue(values, i << planeShift, valueIn(state, phase), 1 << k);
      }
    }
    known.set(state, values);
    return values;
  };
  return {
    part: own.part,
    inputs: own.clock,
    supplies: own.supplies,
    drivers: [...outputs.map((output) => output.driver), ...own.clockOutputs],
    evaluate(engine: Engine): void {
      const supply = engine.pins.supplyAt(this.supplies);
      const values = valuesIn(engine, engine.processorState);
      for (let i = 0; i < outputs.length; i += 1) {
        const at = i << planeShift;
        copyValue(values, at, out, 0);
        engine.setDrive((outputs[i] as ProcessorOutput).driver, out, supply);
      }
      const clocks = own.clock.map((pin) => clockOf(engine, pin));
      const still = !engine.findingHealth && clocks.some((clock) => !(clock & Clock.moves));
      const wrong = !engine.findingHealth && clocks.some((clock) => clock & Clock.wrong);
      for (const driver of own.clockOutputs) {
        if (still) putValue(out, 0, Level.steady | wrongFlag, engine.allPhases);
        else putResting(engine, driver, Level.pulsing, out);
        if (wrong) out[5] = engine.allPhases;
        engine.setDrive(driver, out, supply);
      }
    },
  };
}

function addressValue(state: ProcessorState, phase: BoardPhase, line: number): number {
  const pattern = phase.address;
  const symbol = pattern === undefined ? "x" : (pattern[pattern.length - 1 - line] ?? "x");
  if (state === "running") return symbol === "0" ? Level.low : symbol === "1" ? Level.high : Level.pulsing;
  return crashedLevel(state) | wrongFlag;
}

function dataValue(state: ProcessorState, phase: BoardPhase): number {
  if (!writeCycles.has(phase.cycle) || state === "dead") return Level.floating;
  if (state === "running") return Level.pulsing;
  return state.endsWith("halted") ? Level.floating | wrongFlag : crashedLevel(state) | wrongFlag;
}

function controlValue(
  state: ProcessorState,
  phase: BoardPhase,
  levels: Readonly<Record<string, "low" | "high">>,
): number {
  // A halted processor makes no transfers but goes on refreshing; a dead one does nothing at all.
  const idle = state === "dead" || (state.endsWith("halted") && transferCycles.has(phase.cycle));
  const cycle = idle ? "idle" : phase.cycle;
  const level = levels[cycle] ?? levels["idle"] ?? "high";
  // A crashed program still reads and writes, only in the wrong places: its strobes keep their shape.
  return level === "low" ? Level.low : Level.high;
}

function crashedLevel(state: ProcessorState): number {
  if (state.endsWith("looping")) return Level.looping;
  if (state.endsWith("wild")) return Level.pulsing;
  return Level.steady;
}

/** What the processor makes of what it reads, with the pin that decides it. */
export interface ProcessorVerdict {
  readonly outcome: "running" | "late" | "early" | "dead";
  readonly pin: number;
}

/**
 * Judges from a settled board whether the processor runs: supply, clock, reset, holds, then what it reads in the
 * phases the start code and the workspace need, interrupts.
 * @param reset the way of its reset, if known: a processor that is never reset starts anywhere
 */
export function judgeProcessor(
  engine: Engine,
  own: ProcessorWiring,
  reset: ResetPath | undefined,
): ProcessorVerdict {
  const dead = (pin: number): ProcessorVerdict => ({ outcome: "dead", pin });
  const supply = engine.pins.supplyAt(own.supplies);
  if (supply === Supply.absent || supply === Supply.bad) return dead(own.supplies[0] ?? -1);
  const fault = engine.partFaults[own.part];
  if (fault?.silent === true) return dead(-1);
  for (const pin of own.clock) if (!(clockOf(engine, pin) & Clock.moves)) return dead(pin);
  if (mayBeActive(engine, own.reset.pin, own.reset.active)) return dead(own.reset.pin);
  for (const hold of own.holds) if (heldAlways(engine, hold.pin, hold.active)) return dead(hold.pin);
  if (fault?.improper === true || supply === Supply.rippled) return { outcome: "early", pin: -1 };
  if (reset !== undefined && resetNeverComes(engine, reset, own.reset)) {
    return { outcome: "early", pin: own.reset.pin };
  }
  const startPin = misreadPin(engine, own, own.startPhases);
  if (startPin >= 0) return { outcome: "early", pin: startPin };
  const workspacePin = misreadPin(engine, own, own.workspacePhases);
  if (workspacePin >= 0) return { outcome: "late", pin: workspacePin };
  // A program with a few wrong bytes in it gets to the first of them sooner or later.
  if (own.roms.some((part) => engine.partFaults[part]?.someCells === true))
    return { outcome: "late", pin: -1 };
  for (const line of own.interrupts) {
    if (heldAlways(engine, line.pin, line.active) && !engine.findingHealth)
      return { outcome: "late", pin: line.pin };
  }
  // A clock of the wrong rate starts most programs, but refresh and timing loops fail sooner or later.
  for (const pin of own.clock) if (clockOf(engine, pin) & Clock.wrong) return { outcome: "late", pin };
  return { outcome: "running", pin: -1 };
}

/** A data pin that reads wrong information in one of the phases, or -1. */
function misreadPin(engine: Engine, own: ProcessorWiring, phases: number): number {
  for (let i = 0; i < own.data.length; i += 1) {
    const pin = own.data[i]?.pin ?? -1;
    if ((engine.pins.wrongPhases(pin) & phases) !== 0) return pin;
  }
  return -1;
}

/** Phases, as a bit set, in which a processor reads what it needs at that stage of starting up. */
export function readingPhases(phases: readonly BoardPhase[], needed: "start-code" | "workspace"): number {
  let found = 0;
  for (const [k, phase] of phases.entries()) {
    if (phase.needed === needed && readCycles.has(phase.cycle)) found |= 1 << k;
  }
  return found;
}

const seen = new Int32Array(planeCount);

/** True if a pin's level differs from health so that the input may be active for good or again and again. */
function mayBeActive(engine: Engine, pin: number, active: "low" | "high"): boolean {
  engine.pins.copyTo(seen, pin);
  const zero = seen[0] as number;
  const one = seen[1] as number;
  // A floating input is not released for certain, nor one that moves or may be either.
  const floating = ~(zero | one);
  const activeLevel = active === "low" ? zero : one;
  return ((seen[5] as number) & (floating | activeLevel)) !== 0;
}

function heldAlways(engine: Engine, pin: number, active: "low" | "high"): boolean {
  engine.pins.copyTo(seen, pin);
  const held =
    active === "low"
      ? (seen[0] as number) & ~(seen[1] as number)
      : (seen[1] as number) & ~(seen[0] as number);
  return held === engine.allPhases;
}
