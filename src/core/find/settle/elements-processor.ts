import type { BoardPhase } from "../../board/board.js";
import { clockOf } from "./elements-logic.js";
import { restingDrive } from "./elements-memory.js";
import { type Element, type Engine, type ProcessorState, Supply } from "./engine.js";
import { Level, levelMask, moves, wrongFlag } from "./value.js";

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
}

const transferCycles = new Set(["fetch", "memory-read", "memory-write", "io-read", "io-write"]);
const writeCycles = new Set(["memory-write", "io-write"]);
const readCycles = new Set(["fetch", "memory-read", "io-read"]);

/**
 * The processor's outputs under the state the engine is told to assume. What it reads decides that state, but
 * outside of the settling (`judgeProcessor`): so a loop through bus, memory and processor never chases itself.
 */
export function processorElement(own: ProcessorWiring): Element {
  return {
    part: own.part,
    inputs: own.clock,
    supplies: own.supplies,
    drivers: [
      ...own.address.map((line) => line.driver),
      ...own.data.map((line) => line.driver),
      ...own.controls.map((line) => line.driver),
      ...own.clockOutputs,
    ],
    evaluate(engine: Engine): void {
      const supply = engine.supplyOf(this);
      const state = engine.processorState;
      const clocks = own.clock.map((pin) => clockOf(engine, pin));
      for (const [k, phase] of engine.wiring.board.phases.entries()) {
        for (const [i, line] of own.address.entries()) {
          engine.setDrive(line.driver, k, addressValue(state, phase, i), supply);
        }
        const writes = writeCycles.has(phase.cycle);
        for (const line of own.data) engine.setDrive(line.driver, k, dataValue(state, writes), supply);
        for (const line of own.controls)
          engine.setDrive(line.driver, k, controlValue(state, phase, line.levels), supply);
        for (const driver of own.clockOutputs) {
          const healthy = restingDrive(engine, driver, k, Level.pulsing);
          const still = clocks.some((clock) => !clock.moves);
          const wrong = clocks.some((clock) => clock.wrong);
          const value =
            engine.findingHealth || !(still || wrong)
              ? healthy
              : still
                ? Level.steady | wrongFlag
                : healthy | wrongFlag;
          engine.setDrive(driver, k, value, supply);
        }
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

function dataValue(state: ProcessorState, writes: boolean): number {
  if (!writes || state === "dead") return Level.floating;
  if (state === "running") return Level.pulsing;
  return state.endsWith("halted") ? Level.floating | wrongFlag : crashedLevel(state) | wrongFlag;
}

function controlValue(
  state: ProcessorState,
  phase: BoardPhase,
  levels: Readonly<Record<string, "low" | "high">>,
): number {
  const still = state === "dead" || state.endsWith("halted");
  const cycle = still && transferCycles.has(phase.cycle) ? "idle" : phase.cycle;
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
 * Judges from a settled board whether the processor runs: supply, clock, reset, holds, interrupts, then what it
 * reads in the phases the start code and the workspace need.
 */
export function judgeProcessor(engine: Engine, own: ProcessorWiring, element: Element): ProcessorVerdict {
  const dead = (pin: number): ProcessorVerdict => ({ outcome: "dead", pin });
  const supply = engine.supplyOf(element);
  if (supply === Supply.absent || supply === Supply.bad) return dead(own.supplies[0] ?? -1);
  const fault = engine.partFaults[own.part];
  if (fault?.silent === true) return dead(-1);
  for (const pin of own.clock) {
    const clock = clockOf(engine, pin);
    if (!clock.moves) return dead(pin);
  }
  if (activeAnywhere(engine, own.reset.pin, own.reset.active)) return dead(own.reset.pin);
  for (const hold of own.holds) if (heldAlways(engine, hold.pin, hold.active)) return dead(hold.pin);
  if (fault?.improper === true || supply === Supply.rippled) return { outcome: "early", pin: -1 };
  let late = -1;
  for (const [k, phase] of engine.wiring.board.phases.entries()) {
    if (!readCycles.has(phase.cycle) || phase.needed === undefined || phase.needed === "later") continue;
    for (const line of own.data) {
      if (!engine.pinWrong(line.pin, k)) continue;
      if (phase.needed === "start-code") return { outcome: "early", pin: line.pin };
      late = line.pin;
    }
  }
  if (late >= 0) return { outcome: "late", pin: late };
  for (const line of own.interrupts) {
    if (heldAlways(engine, line.pin, line.active) && !engine.findingHealth)
      return { outcome: "late", pin: line.pin };
  }
  // A clock of the wrong rate starts most programs, but refresh and timing loops fail sooner or later.
  for (const pin of own.clock) if (clockOf(engine, pin).wrong) return { outcome: "late", pin };
  return { outcome: "running", pin: -1 };
}

/** True if a pin's level differs from health so that the input may be active for good or again and again. */
function activeAnywhere(engine: Engine, pin: number, active: "low" | "high"): boolean {
  for (let phase = 0; phase < engine.phaseCount; phase += 1) {
    const value = engine.readPin(pin, phase);
    if (!(value & wrongFlag)) continue;
    const level = value & levelMask;
    if (level === Level.floating) {
      // An open TTL-compatible input drifts; a MOS reset input that floats is not released for certain.
      return true;
    }
    if (moves(value) || level === Level.steady) return true;
    const isLow = level === Level.low || level === Level.fightLow || level === Level.railAbsent;
    if (isLow === (active === "low")) return true;
  }
  return false;
}

function heldAlways(engine: Engine, pin: number, active: "low" | "high"): boolean {
  for (let phase = 0; phase < engine.phaseCount; phase += 1) {
    const level = engine.readPin(pin, phase) & levelMask;
    const isLow = level === Level.low || level === Level.fightLow || level === Level.railAbsent;
    const isHigh = level === Level.high || level === Level.railGood;
    if (active === "low" ? !isLow : !isHigh) return false;
  }
  return true;
}
