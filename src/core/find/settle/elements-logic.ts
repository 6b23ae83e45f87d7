import type { Element, Engine } from "./engine.js";
import { alwaysActual, canBeWrong, pairsAll, valueOfPairs, varies } from "./pairs.js";
import { type Program, runProgram } from "./program.js";
import { Level, levelMask, moves, partTimeFlag, wrongFlag } from "./value.js";

/** Whether and how long an output drives, from the pair set of its enable. */
export function gate(value: number, enable: number): number {
  const wrong = canBeWrong(enable) ? wrongFlag : 0;
  if (alwaysActual(enable, 0)) return Level.floating | wrong;
  return varies(enable) ? value | wrong | partTimeFlag : value | wrong;
}

/** An open-collector output pulls low or lets go. */
export function openCollector(value: number): number {
  const level = value & levelMask;
  if (level === Level.high) return Level.floating | (value & wrongFlag);
  return moves(value) ? value | partTimeFlag : value;
}

/** One combinational output: its truth function over the pair sets of its inputs, phase by phase. */
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
  const pairs = new Uint8Array(inputs.length);
  return {
    part: options.part,
    inputs,
    supplies: options.supplies,
    drivers: [driver],
    evaluate(engine: Engine, phases: number): void {
      const supply = engine.supplyOf(this);
      for (let phase = 0; phase < engine.phaseCount; phase += 1) {
        if (!((phases >> phase) & 1)) continue;
        engine.readPairs(inputs, phase, pairs);
        let value = valueOfPairs(runProgram(program, pairs));
        if (enable !== undefined) value = gate(value, runProgram(enable, pairs));
        if (options.openCollector) value = openCollector(value);
        engine.setDrive(driver, phase, value, supply);
      }
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
  const { inputs, outputs } = options;
  const pairs = new Uint8Array(inputs.length);

  /** Union of a program's pair sets over the phases of the bit set. */
  const over = (engine: Engine, program: Program, phases: number): number => {
    let union = 0;
    for (let phase = 0; phase < engine.phaseCount; phase += 1) {
      if (!((phases >> phase) & 1)) continue;
      engine.readPairs(inputs, phase, pairs);
      union |= runProgram(program, pairs);
    }
    return union;
  };
  const heldAt = (engine: Engine, program: Program | undefined, level: 0 | 1): boolean =>
    program !== undefined && alwaysActual(over(engine, program, engine.allPhases), level);
  const wrongIn = (engine: Engine, program: Program | undefined): boolean =>
    program !== undefined && canBeWrong(over(engine, program, engine.allPhases));

  /** What all outputs do for a common cause, or undefined if their data decides. */
  const common = (engine: Engine): { value: number; mirrored: boolean } | undefined => {
    if (heldAt(engine, options.clear, 1)) return { value: Level.low, mirrored: true };
    if (heldAt(engine, options.preset, 1)) return { value: Level.high, mirrored: true };
    const clock = clockOf(engine, options.clock);
    if (!clock.moves) {
      const open = options.kind === "transparent" && clock.high;
      if (!open) return { value: Level.steady | wrongFlag, mirrored: false };
    }
    if (heldAt(engine, options.run, 0)) return { value: Level.steady | wrongFlag, mirrored: false };
    const disturbed =
      clock.wrong ||
      wrongIn(engine, options.clear) ||
      wrongIn(engine, options.preset) ||
      wrongIn(engine, options.run) ||
      wrongIn(engine, options.load);
    return disturbed ? { value: Level.pulsing | wrongFlag, mirrored: false } : undefined;
  };

  const mirror = (value: number): number => {
    const level = value & levelMask;
    if (level === Level.low) return Level.high | (value & wrongFlag);
    if (level === Level.high) return Level.low | (value & wrongFlag);
    return value;
  };

  return {
    part: options.part,
    inputs,
    supplies: options.supplies,
    drivers: outputs.map((output) => output.driver),
    evaluate(engine: Engine): void {
      const supply = engine.supplyOf(this);
      const shared = undisturbed(engine, inputs) ? undefined : common(engine);
      for (const output of outputs) {
        let forAll: number | undefined;
        if (shared !== undefined)
          forAll = output.inverted && shared.mirrored ? mirror(shared.value) : shared.value;
        else if (output.data !== undefined) {
          const data = over(engine, output.data, options.samplePhases);
          if (options.kind === "counter") {
            // A counter takes its data only when loaded; loaded wrong, it counts on from a wrong place.
            const loads = options.load !== undefined && !heldAt(engine, options.load, 0);
            if (loads && canBeWrong(data)) forAll = Level.pulsing | wrongFlag;
          } else if (canBeWrong(data)) {
            const stored = varies(data)
              ? Level.pulsing | wrongFlag
              : valueOfPairs(data & pairsAll) | wrongFlag;
            forAll = output.inverted ? mirror(stored) : stored;
          }
        } else if (options.kind === "shift" && anyWrong(engine, inputs)) forAll = Level.pulsing | wrongFlag;
        for (let phase = 0; phase < engine.phaseCount; phase += 1) {
          let value = forAll ?? restingValue(engine, output, options, phase);
          if (output.enable !== undefined) {
            engine.readPairs(inputs, phase, pairs);
            value = gate(value, runProgram(output.enable, pairs));
          }
          engine.setDrive(output.driver, phase, value, supply);
        }
      }
    },
  };

  /** Value on the healthy board: given by the board file, held by a tied control input, or moving. */
  function restingValue(
    engine: Engine,
    output: RegisterOutput,
    own: { clear?: Program; preset?: Program; clock: number; kind: string },
    phase: number,
  ): number {
    const net = engine.drivers[output.driver]?.net ?? -1;
    const given = net < 0 ? -1 : (engine.wiring.givenLevel[net * engine.phaseCount + phase] as number);
    if (given >= 0) return given;
    if (!engine.findingHealth) {
      const healthy = engine.healthyDrive[output.driver * engine.phaseCount + phase] as number;
      if ((healthy & levelMask) !== Level.floating) return healthy & ~partTimeFlag;
      return Level.pulsing;
    }
    if (heldAt(engine, own.clear, 1)) return output.inverted ? Level.high : Level.low;
    if (heldAt(engine, own.preset, 1)) return output.inverted ? Level.low : Level.high;
    const clock = clockOf(engine, own.clock);
    if (!clock.moves && !(own.kind === "transparent" && clock.high)) return Level.steady;
    if (output.data !== undefined && own.kind !== "counter" && own.kind !== "shift") {
      const data = over(engine, output.data, options.samplePhases);
      if (!varies(data)) {
        const high = alwaysActual(data, 1) !== output.inverted;
        return high ? Level.high : Level.low;
      }
    }
    return Level.pulsing;
  }
}

/** True if no pin of the list reads anything but what it reads on the healthy board. */
export function undisturbed(engine: Engine, inputs: readonly number[]): boolean {
  if (engine.findingHealth) return true;
  return !anyWrong(engine, inputs);
}

function anyWrong(engine: Engine, inputs: readonly number[]): boolean {
  if (engine.findingHealth) return false;
  for (const pin of inputs) {
    for (let phase = 0; phase < engine.phaseCount; phase += 1) if (engine.pinWrong(pin, phase)) return true;
  }
  return false;
}

/** Whether a clock input moves over the phases, rests high, and whether it is wrong. */
export function clockOf(engine: Engine, pin: number): { moves: boolean; high: boolean; wrong: boolean } {
  let low = false;
  let high = false;
  let moving = false;
  let wrong = false;
  for (let phase = 0; phase < engine.phaseCount; phase += 1) {
    const value = engine.readPin(pin, phase);
    const level = value & levelMask;
    if (moves(value)) moving = true;
    else if (level === Level.low || level === Level.fightLow) low = true;
    else if (level !== Level.steady) high = true;
    wrong ||= (value & wrongFlag) !== 0;
  }
  return { moves: moving || (low && high), high: high && !low, wrong };
}
