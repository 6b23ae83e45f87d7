import type { Element, Engine } from "./engine.js";
import { alwaysActual, canBeWrong, canBeWrongIn, pairBit, unionOfPairs, varies, variesIn } from "./pairs.js";
import { movingPhases, planeCount, planeShift, putValue } from "./planes.js";
import { type Program, rowFor, runProgram } from "./program.js";
import { Level, wrongFlag } from "./value.js";

/** Turns a pair set into the value of an output that has it. */
export function putValueOfPairs(row: Int32Array, at: number, out: Int32Array, all: number): void {
  const varying = variesIn(row, at) & all;
  const pulse = row[at + 4] as number;
  out[0] = ((row[at] as number) | (row[at + 2] as number)) & all;
  out[1] = ((row[at + 1] as number) | (row[at + 3] as number)) & all;
  out[2] = varying & pulse;
  out[3] = varying & (row[at + 5] as number) & ~pulse;
  out[4] = 0;
  out[5] = canBeWrongIn(row, at) & all;
  out[6] = 0;
}

/** Releases an output while its enable, a pair set, is off, and for part of the time while it varies. */
export function gate(row: Int32Array, at: number, out: Int32Array, all: number): void {
  const on = ((row[at + 1] as number) | (row[at + 3] as number)) & all;
  out[0] = (out[0] as number) & on;
  out[1] = (out[1] as number) & on;
  out[2] = (out[2] as number) & on;
  out[3] = (out[3] as number) & on;
  out[4] = (out[4] as number) & on;
  out[5] = ((out[5] as number) & on) | (canBeWrongIn(row, at) & all);
  out[6] = ((out[6] as number) & on) | (variesIn(row, at) & all);
}

/** An open-collector output pulls low or lets go. */
export function openCollector(out: Int32Array): void {
  const keeps = (out[0] as number) | ~(out[1] as number);
  out[0] = (out[0] as number) & keeps;
  out[1] = (out[1] as number) & keeps;
  out[6] = ((out[6] as number) & keeps) | movingPhases(out, 0);
}

/** One combinational output: its truth function over the pair sets of its inputs. */
export function logicElement(options: {
  part: number;
  inputs: readonly number[];
  supplies: readonly number[];
  driver: number;
  program: Program;
  enable?: Program;
  openCollector: boolean;
}): Element {
  const { inputs, driver, program, enable } = options;
  const row = rowFor(inputs.length, program, enable);
  const out = new Int32Array(planeCount);
  return {
    part: options.part,
    inputs,
    supplies: options.supplies,
    drivers: [driver],
    evaluate(engine: Engine): void {
      const all = engine.allPhases;
      engine.pins.readPairs(inputs, row);
      runProgram(program, row);
      putValueOfPairs(row, program.result, out, all);
      if (enable !== undefined) {
        runProgram(enable, row);
        gate(row, enable.result, out, all);
      }
      if (options.openCollector) openCollector(out);
      engine.setDrive(driver, out, engine.pins.supplyAt(this.supplies));
    },
  };
}

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
}): Element {
  const { inputs, outputs, kind, clear, preset, load, run } = options;
  const dataAndEnables = outputs.flatMap(({ data, enable }) => [data, enable]);
  const row = rowFor(inputs.length, clear, preset, load, run, ...dataAndEnables);
  const out = new Int32Array(planeCount);

  /** Union of a program's pair sets over the phases of the bit set; the inputs must have been read. */
  const over = (program: Program, phases: number): number => {
    runProgram(program, row);
    return unionOfPairs(row, program.result, phases);
  };
  const heldAt = (engine: Engine, program: Program | undefined, level: 0 | 1): boolean =>
    program !== undefined && alwaysActual(over(program, engine.allPhases), level);
  const wrongIn = (engine: Engine, program: Program | undefined): boolean =>
    program !== undefined && canBeWrong(over(program, engine.allPhases));
  const needsClock = (clock: number): boolean =>
    !(clock & Clock.moves) && !(kind === "transparent" && clock & Clock.high);

  const common = (engine: Engine): CommonValue | undefined => {
    if (heldAt(engine, clear, 1)) return heldLow;
    if (heldAt(engine, preset, 1)) return heldHigh;
    const clock = clockOf(engine, options.clock);
    if (needsClock(clock) || heldAt(engine, run, 0)) return standingStill;
    const disturbed =
      (clock & Clock.wrong) !== 0 ||
      wrongIn(engine, clear) ||
      wrongIn(engine, preset) ||
      wrongIn(engine, run) ||
      wrongIn(engine, load);
    return disturbed ? movingWrong : undefined;
  };

  /** Value of an output whose inputs are disturbed, or -1 if it does as on the healthy board. */
  const disturbedValue = (
    engine: Engine,
    output: RegisterOutput,
    shared: CommonValue | undefined,
  ): number => {
    if (shared !== undefined) return output.inverted && shared.mirrored ? mirror(shared.value) : shared.value;
    if (output.data === undefined) return kind === "shift" ? Level.pulsing | wrongFlag : -1;
    const data = over(output.data, options.samplePhases);
    if (!canBeWrong(data)) return -1;
    if (kind === "counter") {
      // A counter takes its data only when loaded; loaded wrong, it counts on from a wrong place.
      const loads = load !== undefined && !heldAt(engine, load, 0);
      return loads ? Level.pulsing | wrongFlag : -1;
    }
    const stored = varies(data)
      ? Level.pulsing
      : data & pairBit.became1 || data & pairBit.same1
        ? Level.high
        : Level.low;
    return (output.inverted ? mirror(stored) : stored) | wrongFlag;
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
    if (heldAt(engine, clear, 1)) return output.inverted ? Level.high : Level.low;
    if (heldAt(engine, preset, 1)) return output.inverted ? Level.low : Level.high;
    if (needsClock(clockOf(engine, options.clock))) return Level.steady;
    if (output.data !== undefined && kind !== "counter" && kind !== "shift") {
      const data = over(output.data, options.samplePhases);
      if (!varies(data)) return alwaysActual(data, 1) !== output.inverted ? Level.high : Level.low;
    }
    return Level.pulsing;
  };

  return {
    part: options.part,
    inputs,
    supplies: options.supplies,
    drivers: outputs.map((output) => output.driver),
    evaluate(engine: Engine): void {
      const supply = engine.pins.supplyAt(this.supplies);
      engine.pins.readPairs(inputs, row);
      const disturbed = !engine.findingHealth && engine.pins.anyWrongPhases(inputs) !== 0;
      const shared = disturbed ? common(engine) : undefined;
      for (let i = 0; i < outputs.length; i += 1) {
        const output = outputs[i] as RegisterOutput;
        const value = disturbed ? disturbedValue(engine, output, shared) : -1;
        if (value >= 0) putValue(out, 0, value, engine.allPhases);
        else putResting(engine, output);
        if (output.enable !== undefined) {
          runProgram(output.enable, row);
          gate(row, output.enable.result, out, engine.allPhases);
        }
        engine.setDrive(output.driver, out, supply);
      }
    },
  };
}

function mirror(value: number): number {
  if (value === Level.low) return Level.high;
  return value === Level.high ? Level.low : value;
}

/** Puts the levels the board file gives for a driver's net over a value, in the phases for which it gives any. */
export function putGiven(engine: Engine, driver: number, out: Int32Array): void {
  const net = engine.drivers[driver]?.net ?? -1;
  const phases = net < 0 ? 0 : (engine.givenIn[net] as number);
  if (phases === 0) return;
  const at = net << planeShift;
  for (let p = 0; p < planeCount; p += 1) {
    out[p] = ((out[p] as number) & ~phases) | ((engine.given[at + p] as number) & phases);
  }
}

/** What a clock input does over the phases. */
export const Clock = {
  /** It moves. */
  moves: 1,
  /** It rests, and not low. */
  high: 2,
  /** Its information is wrong. */
  wrong: 4,
} as const;

const seen = new Int32Array(planeCount);

/** Whether a clock input moves over the phases, rests high, and whether it is wrong: bits of `Clock`. */
export function clockOf(engine: Engine, pin: number): number {
  engine.pins.copyTo(seen, pin);
  const zero = seen[0] as number;
  const one = seen[1] as number;
  const pulse = seen[2] as number;
  const moving = movingPhases(seen, 0);
  const low = zero & ~one & ~pulse;
  // Whatever neither moves, is low, nor may be either counts as high: an open clock input drifts there.
  const high = engine.allPhases & ~moving & ~low & ~(zero & one);
  const wrong = (seen[5] as number) !== 0 ? Clock.wrong : 0;
  if (moving !== 0 || (low !== 0 && high !== 0))
    return Clock.moves | wrong | (high !== 0 && low === 0 ? Clock.high : 0);
  return (high !== 0 ? Clock.high : 0) | wrong;
}
