import { Clock, clockOf } from "./clock.js";
import { Supply } from "./condition.js";
import { gate } from "./elements-logic.js";
import type { Element, Engine } from "./engine.js";
import { canBeWrongIn } from "./pairs.js";
import { planeCount, putValue } from "./planes.js";
import { type Program, rowFor, runProgram } from "./program.js";
import { putResting } from "./resting.js";
import { Level, wrongFlag } from "./value.js";

/** One data bit of a memory chip: the pin it is written through and the driver it is read through. */
export interface MemoryBit {
  /** Its number in the part type. */
  readonly bit: number;
  /** -1 for a ROM. */
  readonly inputPin: number;
  readonly driver: number;
}

/** Phases in which a pair set, true for a write, may be one: on the healthy board or in fact. */
function writingPhases(row: Int32Array, at: number, all: number): number {
  return all & ((row[at + 1] as number) | (row[at + 2] as number) | (row[at + 3] as number));
}

/** Puts the value of a data output that moves, or stands still, in all phases; wrong in the given ones. */
function putData(out: Int32Array, all: number, still: boolean, wrong: number): void {
  out[0] = all;
  out[1] = all;
  out[2] = still ? 0 : all;
  out[3] = 0;
  out[4] = 0;
  out[5] = wrong;
  out[6] = 0;
}

/**
 * Whether a change of the data in the given phases can matter to a part that takes data only while it is written to.
 * Nothing a crashed machine writes counts, so there it never does.
 */
function takesData(
  engine: Engine,
  controls: readonly number[],
  phases: number,
  healthyWrites: () => number,
): boolean {
  if (engine.findingHealth) return true;
  if (engine.processorState !== "running") return false;
  return (phases & healthyWrites()) !== 0 || engine.pins.anyWrongPhases(controls) !== 0;
}

/**
 * A memory chip. A bit reads right if it was written right (address, strobes, data and write pulse right in every
 * phase that writes it, nothing written where the healthy machine writes nothing, a running processor to write it)
 * and if it is now addressed right. A ROM only needs the latter.
 */
export function memoryElement(options: {
  part: number;
  content: "ram" | "rom";
  controls: readonly number[];
  address: readonly number[];
  strobes: readonly number[];
  supplies: readonly number[];
  read: Program;
  write?: Program;
  bits: readonly MemoryBit[];
  /** Phases, as a bit set, in which data can be meant for it. */
  writablePhases: number;
  /** Phases, as a bit set, whose row address refreshes it; 0 for a memory that needs no refresh. */
  refreshPhases: number;
}): Element {
  const { controls, address, strobes, bits, read, write, refreshPhases, writablePhases } = options;
  const row = rowFor(controls.length, read, write);
  const selecting = new Set([...controls, ...address, ...strobes]);
  const dataPins = bits.map((bit) => bit.inputPin).filter((pin) => pin >= 0 && !selecting.has(pin));
  const out = new Int32Array(planeCount);

  /** Bit 0: everything stored is wrong; bit b+1: data bit b is. The controls must have been read. */
  const contentWrong = (engine: Engine, still: boolean, misaddressed: number): number => {
    if (options.content === "rom" || engine.findingHealth) return 0;
    if (still || engine.processorState !== "running") return 1;
    // Refreshed at the wrong rows, it forgets.
    if ((misaddressed & refreshPhases) !== 0) return 1;
    if (write === undefined) return 0;
    runProgram(write, row);
    const writes = writingPhases(row, write.result, engine.allPhases);
    if (((canBeWrongIn(row, write.result) | misaddressed) & writes) !== 0) return 1;
    let wrong = 0;
    for (let b = 0; b < bits.length; b += 1) {
      const pin = (bits[b] as MemoryBit).inputPin;
      const wrongData = pin < 0 ? 0 : engine.pins.wrongPhases(pin) & writablePhases;
      if ((wrongData & writes) !== 0) wrong |= 1 << (b + 1);
    }
    return wrong;
  };

  let healthyWrites = -1;
  const healthyWritesOf = (engine: Engine): number => {
    if (healthyWrites < 0)
      healthyWrites = write === undefined ? 0 : engine.pins.healthyPhases(controls, write);
    return healthyWrites;
  };

  return {
    part: options.part,
    stores: true,
    inputs: [...selecting, ...dataPins],
    dataPins,
    takesData: (engine, phases) => takesData(engine, controls, phases, () => healthyWritesOf(engine)),
    supplies: options.supplies,
    drivers: bits.map((bit) => bit.driver),
    evaluate(engine: Engine): void {
      const all = engine.allPhases;
      const supply = engine.pins.supplyAt(this.supplies);
      const fault = engine.partFaults[options.part];
      const still = supply !== Supply.good || !allMove(engine, strobes);
      const misaddressed = engine.pins.anyWrongPhases(address) | engine.pins.anyWrongPhases(strobes);
      engine.pins.readPairs(controls, row);
      const content = contentWrong(engine, still, misaddressed);
      const lostIn = fault?.lostBits === undefined ? 0 : fault.someCells === true ? laterPhases(engine) : all;
      const wrong = still || (content & 1) === 1 ? all : misaddressed;
      runProgram(read, row);
      for (let b = 0; b < bits.length; b += 1) {
        const bit = bits[b] as MemoryBit;
        const lost = lostIn !== 0 && isLost(fault?.lostBits, bit.bit) ? lostIn : 0;
        putData(out, all, still, (content >> (b + 1)) & 1 ? all : wrong | lost);
        gate(row, read.result, out, all);
        engine.setDrive(bit.driver, out, supply === Supply.good ? supply : Supply.rippled);
      }
    },
  };
}

function isLost(lostBits: readonly number[] | undefined, bit: number): boolean {
  return lostBits !== undefined && (lostBits.includes(bit) || lostBits.includes(-1));
}

function allMove(engine: Engine, pins: readonly number[]): boolean {
  for (let i = 0; i < pins.length; i += 1) {
    if (!(clockOf(engine, pins[i] as number) & Clock.moves)) return false;
  }
  return true;
}

/** Phases whose accesses a few lost cells disturb: the picture's and the like, as against the processor's own. */
function laterPhases(engine: Engine): number {
  let phases = 0;
  for (const [k, phase] of engine.wiring.board.phases.entries()) {
    if (phase.needed !== "workspace" && phase.needed !== "start-code") phases |= 1 << k;
  }
  return phases;
}

/** A pin a peripheral reports, and the data bit on which it does. */
export interface PortInput {
  readonly bit: number;
  readonly pin: number;
}

/** An output of a peripheral, and the data bit that sets it. */
export interface PortOutput {
  readonly bit: number;
  readonly driver: number;
}

/**
 * A peripheral chip the processor sets up. Its outputs are right once it was set up right; what it reports is
 * right if it is addressed right, set up right, and what its inputs read is right.
 */
export function peripheralElement(options: {
  part: number;
  controls: readonly number[];
  registers: readonly number[];
  clocks: readonly number[];
  supplies: readonly number[];
  /** Pins it reports, each on a data bit. */
  inputs: readonly PortInput[];
  read: Program;
  write: Program;
  reset?: Program;
  data: readonly MemoryBit[];
  /** Phases, as a bit set, in which data can be meant for it. */
  writablePhases: number;
  outputs: readonly PortOutput[];
  interrupts: readonly number[];
}): Element {
  const { controls, registers, clocks, inputs, data, outputs, interrupts, read, write, reset } = options;
  const row = rowFor(controls.length, read, write, reset);
  const out = new Int32Array(planeCount);
  const inputPins = inputs.map((input) => input.pin);
  const selecting = new Set([...controls, ...registers, ...clocks, ...inputPins]);
  const dataPins = data.map((bit) => bit.inputPin).filter((pin) => !selecting.has(pin));
  const reportedOn = data.map(({ bit }) =>
    inputs.filter((input) => input.bit === bit).map((input) => input.pin),
  );

  const setUpRight = (engine: Engine): boolean => {
    const state = engine.processorState;
    if (state === "dead" || state.startsWith("early")) return false;
    for (let i = 0; i < clocks.length; i += 1) {
      if (clockOf(engine, clocks[i] as number) & Clock.wrong) return false;
    }
    if (reset !== undefined) {
      runProgram(reset, row);
      if ((canBeWrongIn(row, reset.result) & engine.allPhases) !== 0) return false;
    }
    // A crashed program has long left the set-up behind; its stray writes are not counted against it.
    if (state !== "running") return true;
    runProgram(write, row);
    const wrong =
      canBeWrongIn(row, write.result) |
      engine.pins.anyWrongPhases(registers) |
      (engine.pins.anyWrongPhases(dataPins) & options.writablePhases);
    return (wrong & writingPhases(row, write.result, engine.allPhases)) === 0;
  };

  let healthyWrites = -1;
  const healthyWritesOf = (engine: Engine): number => {
    if (healthyWrites < 0) healthyWrites = engine.pins.healthyPhases(controls, write);
    return healthyWrites;
  };

  return {
    part: options.part,
    stores: true,
    inputs: [...selecting, ...dataPins],
    dataPins,
    takesData: (engine, phases) => takesData(engine, controls, phases, () => healthyWritesOf(engine)),
    supplies: options.supplies,
    drivers: [...data, ...outputs].map((line) => line.driver).concat(interrupts),
    evaluate(engine: Engine): void {
      const all = engine.allPhases;
      const supply = engine.pins.supplyAt(this.supplies);
      engine.pins.readPairs(controls, row);
      const setUp = engine.findingHealth || setUpRight(engine);
      const lost = engine.partFaults[options.part]?.lostBits;
      const misread = setUp ? engine.pins.anyWrongPhases(registers) : all;
      runProgram(read, row);
      for (let b = 0; b < data.length; b += 1) {
        const { bit, driver } = data[b] as MemoryBit;
        const wrong = isLost(lost, bit)
          ? all
          : misread | engine.pins.anyWrongPhases(reportedOn[b] as number[]);
        putData(out, all, false, wrong);
        gate(row, read.result, out, all);
        engine.setDrive(driver, out, supply);
      }
      for (let o = 0; o < outputs.length; o += 1) {
        const { bit, driver } = outputs[o] as PortOutput;
        if (setUp) putResting(engine, driver, Level.pulsing, out);
        else putValue(out, 0, Level.steady | wrongFlag, all);
        if (isLost(lost, bit)) out[5] = all;
        engine.setDrive(driver, out, supply);
      }
      for (let i = 0; i < interrupts.length; i += 1) {
        const driver = interrupts[i] as number;
        putResting(engine, driver, Level.floating, out);
        if (!setUp) putValue(out, 0, Level.steady | wrongFlag, (out[0] as number) | (out[1] as number));
        engine.setDrive(driver, out, supply);
      }
    },
  };
}
