import { Clock, clockOf, highPhases } from "./clock.js";
import { gate } from "./elements-logic.js";
import type { Element, Engine } from "./engine.js";
import { alwaysActual, canBeWrong, canBeWrongIn, unionOfPairs, varies } from "./pairs.js";
import { planeCount, planeShift, putValue } from "./planes.js";
import { type Program, rowFor, runProgram } from "./program.js";
import { putGiven } from "./resting.js";
import { Level, wrongFlag } from "./value.js";

/** One stored bit of a register, counter, shift register or latch with its outputs. */
export interface RegisterOutput {
  readonly driver: number;
  readonly inverted: boolean;
  readonly data?: Program;
  readonly enable?: Program;
}

/** What all outputs of a register do for a common cause. */
interface CommonValue {
  readonly value: number;
  /** Inverted outputs carry the complement. */
  readonly mirrored: boolean;
}

const heldLow: CommonValue = { value: Level.low, mirrored: true };
const heldHigh: CommonValue = { value: Level.high, mirrored: true };
const standingStill: CommonValue = { value: Level.steady | wrongFlag, mirrored: false };
const movingWrong: CommonValue = { value: Level.pulsing | wrongFlag, mirrored: false };

/**
 * A clocked (or transparent) part. On the healthy board its outputs are what the board file says they are in each
 * phase, else moving. Under a fault: held clear or set if that input is stuck there, standing still without a
 * clock, following data that is stuck, and otherwise moving with wrong information.
 */
export function registerElement(options: {
  part: number;
  kind: "edge" | "transparent" | "counter" | "shift";
  inputs: readonly number[];
  supplies: readonly number[];
  clock: number;
  clear?: Program;
  preset?: Program;
  load?: Program;
  run?: Program;
  outputs: readonly RegisterOutput[];
  /** Phases in which data is taken, as a bit set. */
  samplePhases: number;
  /** Only the processor writes to it. */
  written: boolean;
}): Element {
  const { inputs, outputs, kind, clear, preset, load, run } = options;
  const dataAndEnables = outputs.flatMap(({ data, enable }) => [data, enable]);
  const row = rowFor(inputs.length, clear, preset, load, run, ...dataAndEnables);
  const out = new Int32Array(planeCount);

  /** Union of a program's pair sets over the phases of the bit set, -1 without one; the inputs must have been read. */
  const over = (program: Program | undefined, phases: number): number => {
    if (program === undefined) return -1;
    runProgram(program, row);
    return unionOfPairs(row, program.result, phases);
  };
  /** What the control inputs do over all phases together, as `readControls` last found it. */
  const controls = { clear: -1, preset: -1, load: -1, run: -1 };
  const readControls = (engine: Engine): void => {
    controls.clear = over(clear, engine.allPhases);
    controls.preset = over(preset, engine.allPhases);
    controls.load = over(load, engine.allPhases);
    controls.run = over(run, engine.allPhases);
  };
  const needsClock = (clock: number): boolean =>
    !(clock & Clock.moves) && !(kind === "transparent" && clock & Clock.high);

  const forced = (): CommonValue | undefined =>
    heldAt(controls.clear, 1) ? heldLow : heldAt(controls.preset, 1) ? heldHigh : undefined;

  const common = (engine: Engine): CommonValue | undefined => {
    const held = forced();
    if (held !== undefined) return held;
    const clock = clockOf(engine, options.clock);
    if (needsClock(clock) || heldAt(controls.run, 0)) return standingStill;
    const disturbed =
      (clock & Clock.wrong) !== 0 ||
      wrongIn(controls.clear) ||
      wrongIn(controls.preset) ||
      wrongIn(controls.run) ||
      (wrongIn(controls.load) && !dataTells());
    return disturbed ? movingWrong : undefined;
  };

  /** With its load input stuck, a shift register takes what its data says; a counter that always loads does too. */
  const dataTells = (): boolean => (kind === "shift" && heldAt(controls.load, 0)) || alwaysLoads();
  const alwaysLoads = (): boolean => (kind === "shift" || kind === "counter") && heldAt(controls.load, 1);

  /** Puts the value of an output whose inputs are disturbed; false if it does as on the healthy board. */
  const putDisturbed = (engine: Engine, output: RegisterOutput, shared: CommonValue | undefined): boolean => {
    const all = engine.allPhases;
    if (shared !== undefined) {
      const { value, mirrored } = shared;
      putValue(out, 0, output.inverted && mirrored ? mirror(value) : value, all);
      return true;
    }
    const counterLoads = kind === "counter" && alwaysLoads();
    if (output.data === undefined) {
      if (!counterLoads && kind !== "shift") return false;
      putValue(out, 0, (counterLoads ? Level.steady : Level.pulsing) | wrongFlag, all);
      return true;
    }
    if (kind === "counter" && !counterLoads) {
      // A counter takes its data only when loaded; loaded wrong, it counts on from a wrong place.
      if (load === undefined || heldAt(controls.load, 0)) return false;
      if (!wrongIn(over(output.data, options.samplePhases))) return false;
      putValue(out, 0, Level.pulsing | wrongFlag, all);
      return true;
    }
    return putStored(engine, output, output.data, counterLoads);
  };

  /** Puts what an output holds of its data; false if that is right and `anyway` is not set. */
  const putStored = (engine: Engine, output: RegisterOutput, data: Program, anyway: boolean): boolean => {
    runProgram(data, row);
    const at = data.result;
    const wrong = canBeWrongIn(row, at);
    // A latch that is open lets through what its data is at the moment.
    const open = kind === "transparent" ? highPhases(engine, options.clock) : 0;
    const closed = engine.allPhases & ~open;
    const holdsWrong = anyway || (wrong & options.samplePhases) !== 0;
    if (!(holdsWrong && closed) && (wrong & open) === 0) return false;
    putResting(engine, output);
    const held = storedLevel(row, at, options.samplePhases);
    if (holdsWrong) putValue(out, 0, (output.inverted ? mirror(held) : held) | wrongFlag, closed);
    for (let rest = wrong & open; rest !== 0; rest &= rest - 1) {
      const phase = rest & -rest;
      const level = storedLevel(row, at, phase);
      putValue(out, 0, (output.inverted ? mirror(level) : level) | wrongFlag, phase);
    }
    return true;
  };

  /** Value on the healthy board: given by the board file, held by a tied control input, or moving. */
  const putResting = (engine: Engine, output: RegisterOutput): void => {
    const all = engine.allPhases;
    if (engine.findingHealth) putValue(out, 0, healthyLevel(engine, output), all);
    else {
      const at = output.driver << planeShift;
      for (let p = 0; p < planeCount - 1; p += 1) out[p] = engine.healthyDrive[at + p] as number;
      out[6] = 0;
      const released = all & ~((out[0] as number) | (out[1] as number));
      if (released !== 0) putValue(out, 0, Level.pulsing, released);
    }
    putGiven(engine, output.driver, out);
  };

  const healthyLevel = (engine: Engine, output: RegisterOutput): number => {
    if (heldAt(controls.clear, 1)) return output.inverted ? Level.high : Level.low;
    if (heldAt(controls.preset, 1)) return output.inverted ? Level.low : Level.high;
    if (needsClock(clockOf(engine, options.clock))) return Level.steady;
    if (output.data !== undefined && kind !== "counter" && kind !== "shift") {
      const data = over(output.data, options.samplePhases);
      if (!varies(data)) return alwaysActual(data, 1) !== output.inverted ? Level.high : Level.low;
    }
    return Level.pulsing;
  };

  return {
    part: options.part,
    stores: true,
    inputs,
    supplies: options.supplies,
    drivers: outputs.map((output) => output.driver),
    evaluate(engine: Engine): void {
      const supply = engine.pins.supplyAt(this.supplies);
      engine.pins.readPairs(inputs, row);
      const disturbed = !engine.findingHealth && engine.pins.anyWrongPhases(inputs) !== 0;
      // What a program wrote before it crashed stays, unless it runs wild; as with a peripheral that was set up.
      const state = engine.processorState;
      const kept = options.written && (state === "late-halted" || state === "late-looping");
      if (disturbed || engine.findingHealth) readControls(engine);
      const shared = disturbed ? (kept ? forced() : common(engine)) : undefined;
      const resting = !disturbed || (kept && shared === undefined);
      for (let i = 0; i < outputs.length; i += 1) {
        const output = outputs[i] as RegisterOutput;
        if (resting || !putDisturbed(engine, output, shared)) putResting(engine, output);
        if (output.enable !== undefined) {
          runProgram(output.enable, row);
          gate(row, output.enable.result, out, engine.allPhases);
        }
        engine.setDrive(output.driver, out, supply);
      }
    },
  };
}

/** True if a control input, given as a union of pairs or -1 if there is none, is always at the level. */
function heldAt(union: number, level: 0 | 1): boolean {
  return union >= 0 && alwaysActual(union, level);
}

function wrongIn(union: number): boolean {
  return union >= 0 && canBeWrong(union);
}

/** Level of a stored bit whose data is a pair set, over the phases in which it is taken. */
function storedLevel(row: Int32Array, at: number, phases: number): number {
  const zero = ((row[at] as number) | (row[at + 2] as number)) & phases;
  const one = ((row[at + 1] as number) | (row[at + 3] as number)) & phases;
  const either = zero & one;
  const low = (zero & ~one) !== 0;
  const high = (one & ~zero) !== 0;
  if (either === 0 && low !== high) return high ? Level.high : Level.low;
  if ((either & (row[at + 4] as number)) !== 0 || (low && high)) return Level.pulsing;
  return (either & (row[at + 5] as number)) !== 0 ? Level.looping : Level.steady;
}

function mirror(value: number): number {
  if (value === Level.low) return Level.high;
  return value === Level.high ? Level.low : value;
}
