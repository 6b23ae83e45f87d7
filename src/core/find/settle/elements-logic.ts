import type { Element, Engine } from "./engine.js";
import { canBeWrongIn, variesIn } from "./pairs.js";
import { movingPhases, planeCount } from "./planes.js";
import { type Program, rowFor, runProgram } from "./program.js";

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
