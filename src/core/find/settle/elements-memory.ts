import { clockOf, gate } from "./elements-logic.js";
import { type Element, type Engine, Supply } from "./engine.js";
import { canBeWrong } from "./pairs.js";
import { type Program, runProgram } from "./program.js";
import { Level, levelMask, partTimeFlag, wrongFlag } from "./value.js";

/** One data bit of a memory chip: the pin it is written through and the driver it is read through. */
export interface MemoryBit {
  /** -1 for a ROM. */
  readonly inputPin: number;
  readonly driver: number;
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
}): Element {
  const { controls, address, strobes, bits } = options;
  const pairs = new Uint8Array(controls.length);
  const dataPins = bits.map((bit) => bit.inputPin).filter((pin) => pin >= 0);
  return {
    part: options.part,
    inputs: [...new Set([...controls, ...address, ...strobes, ...dataPins])],
    supplies: options.supplies,
    drivers: bits.map((bit) => bit.driver),
    evaluate(engine: Engine): void {
      const supply = engine.supplyOf(this);
      const starved = supply !== Supply.good;
      const fault = engine.partFaults[options.part];
      const asleep = strobes.some((pin) => !clockOf(engine, pin).moves);
      const content = contentWrong(engine, starved || asleep);
      for (let phase = 0; phase < engine.phaseCount; phase += 1) {
        engine.readPairs(controls, phase, pairs);
        const enable = runProgram(options.read, pairs);
        const misaddressed = anyWrong(engine, address, phase) || anyWrong(engine, strobes, phase);
        const partial = fault?.someCells === true && !isLater(engine, phase);
        for (let b = 0; b < bits.length; b += 1) {
          const bit = bits[b] as MemoryBit;
          const lost =
            !partial && (fault?.lostBits?.some((lostBit) => lostBit === b || lostBit === -1) ?? false);
          const wrong = misaddressed || lost || (content & 1) === 1 || ((content >> (b + 1)) & 1) === 1;
          const level = asleep || starved ? Level.steady : Level.pulsing;
          const value = level | (wrong || asleep || starved ? wrongFlag : 0);
          engine.setDrive(
            bit.driver,
            phase,
            gate(value, enable),
            Supply.good === supply ? supply : Supply.rippled,
          );
        }
      }
    },
  };

  /** Bit 0: everything stored is wrong; bit b+1: data bit b is. */
  function contentWrong(engine: Engine, starved: boolean): number {
    if (options.content === "rom" || engine.findingHealth) return 0;
    if (starved || engine.processorState !== "running") return 1;
    if (options.write === undefined) return 0;
    let wrong = 0;
    for (let phase = 0; phase < engine.phaseCount; phase += 1) {
      engine.readPairs(controls, phase, pairs);
      const write = runProgram(options.write, pairs);
      // Pairs with a healthy or an actual write: bits 1, 2 and 3.
      if ((write & 0b1110) === 0) continue;
      if (canBeWrong(write) || anyWrong(engine, address, phase) || anyWrong(engine, strobes, phase)) return 1;
      for (let b = 0; b < bits.length; b += 1) {
        const pin = (bits[b] as MemoryBit).inputPin;
        if (pin >= 0 && engine.pinWrong(pin, phase)) wrong |= 1 << (b + 1);
      }
    }
    return wrong;
  }
}

/** Accesses that a few lost cells need not disturb: the processor's own, as against the picture's. */
function isLater(engine: Engine, phase: number): boolean {
  const found = engine.wiring.board.phases[phase];
  return found?.needed !== "workspace" && found?.needed !== "start-code";
}

function anyWrong(engine: Engine, pins: readonly number[], phase: number): boolean {
  for (const pin of pins) if (engine.pinWrong(pin, phase)) return true;
  return false;
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
  inputs: readonly number[];
  read: Program;
  write: Program;
  reset?: Program;
  data: readonly MemoryBit[];
  outputs: readonly number[];
  interrupts: readonly number[];
}): Element {
  const { controls, registers, clocks, inputs, data, outputs, interrupts } = options;
  const pairs = new Uint8Array(controls.length);
  const dataPins = data.map((bit) => bit.inputPin);
  return {
    part: options.part,
    inputs: [...new Set([...controls, ...registers, ...clocks, ...inputs, ...dataPins])],
    supplies: options.supplies,
    drivers: [...data.map((bit) => bit.driver), ...outputs, ...interrupts],
    evaluate(engine: Engine): void {
      const supply = engine.supplyOf(this);
      const setUp = engine.findingHealth || setUpRight(engine);
      const lost = engine.partFaults[options.part]?.lostBits;
      for (let phase = 0; phase < engine.phaseCount; phase += 1) {
        engine.readPairs(controls, phase, pairs);
        const enable = runProgram(options.read, pairs);
        const wrong = !setUp || anyWrong(engine, registers, phase);
        for (let b = 0; b < data.length; b += 1) {
          const own = lost?.some((bit) => bit === b || bit === -1) ?? false;
          // Port pins stand eight to a port, so pin i is reported on data bit i modulo the width of the bus.
          const misread = inputs.some((pin, i) => i % data.length === b && engine.pinWrong(pin, phase));
          const value = Level.pulsing | (wrong || own || misread ? wrongFlag : 0);
          engine.setDrive((data[b] as MemoryBit).driver, phase, gate(value, enable), supply);
        }
        for (let o = 0; o < outputs.length; o += 1) {
          const driver = outputs[o] as number;
          const healthy = restingDrive(engine, driver, phase, Level.pulsing);
          const own = lost?.some((bit) => bit === o || bit === -1) ?? false;
          const value = setUp ? healthy | (own ? wrongFlag : 0) : Level.steady | wrongFlag;
          engine.setDrive(driver, phase, value, supply);
        }
        for (const driver of interrupts) {
          const healthy = restingDrive(engine, driver, phase, Level.floating);
          const disturbed = !setUp && (healthy & levelMask) !== Level.floating;
          engine.setDrive(driver, phase, disturbed ? Level.steady | wrongFlag : healthy, supply);
        }
      }
    },
  };

  function setUpRight(engine: Engine): boolean {
    const state = engine.processorState;
    if (state === "dead" || state.startsWith("early")) return false;
    if (clocks.some((pin) => clockOf(engine, pin).wrong)) return false;
    for (let phase = 0; phase < engine.phaseCount; phase += 1) {
      engine.readPairs(controls, phase, pairs);
      if (options.reset !== undefined && canBeWrong(runProgram(options.reset, pairs))) return false;
      const write = runProgram(options.write, pairs);
      if ((write & 0b1110) === 0) continue;
      // A crashed program has long left the set-up behind; its stray writes are not counted against it.
      if (state !== "running") continue;
      if (canBeWrong(write) || anyWrong(engine, registers, phase) || anyWrong(engine, dataPins, phase))
        return false;
    }
    return true;
  }
}

/** What a driver puts out on the healthy board: as the board file says, else `usual`. */
export function restingDrive(engine: Engine, driver: number, phase: number, usual: number): number {
  if (!engine.findingHealth)
    return (engine.healthyDrive[driver * engine.phaseCount + phase] as number) & ~partTimeFlag;
  const net = engine.drivers[driver]?.net ?? -1;
  const given = net < 0 ? -1 : (engine.wiring.givenLevel[net * engine.phaseCount + phase] as number);
  return given >= 0 ? given : usual;
}
