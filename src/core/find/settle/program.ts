import type { Expression } from "../../board/expression.js";
import { andPairs, constantPairs, muxPairs, notPairs, orPairs, pairPlanes, xorPairs } from "./pairs.js";

/**
 * A compiled expression. It works on a row of pair sets: first those of the inputs, then its own.
 * Programs over the same inputs can share a row.
 */
export interface Program {
  /** Five numbers a step: operator, place of its result, and places of up to three operands. */
  readonly steps: Int16Array;
  /** Where the result stands, as an index into the numbers of the row. */
  readonly result: number;
  /** Pair sets in the row. */
  readonly size: number;
}

const NOT = 0;
const AND = 1;
const OR = 2;
const XOR = 3;
const MUX = 4;
const CONSTANT = 5;
const stepLength = 5;

/**
 * Compiles an expression; `positionOf` gives the input position of a pin name, below `inputCount`.
 * Throws whatever `positionOf` throws for a pin it does not know.
 */
export function compileExpression(
  expression: Expression,
  inputCount: number,
  positionOf: (pin: string) => number,
): Program {
  const steps: number[] = [];
  let size = inputCount;

  /** Adds the steps for an expression; returns the place of its pair set. `free` is the first place it may use. */
  const emit = (part: Expression, free: number): number => {
    if (typeof part === "string") return positionOf(part);
    size = Math.max(size, free + 1);
    if (typeof part === "boolean") {
      steps.push(CONSTANT, free, part ? 1 : 0, 0, 0);
      return free;
    }
    const [operator, ...operands] = part;
    if (operator === "not") {
      steps.push(NOT, free, emit(operands[0] as Expression, free), 0, 0);
    } else if (operator === "mux") {
      const [select = 0, low = 0, high = 0] = operands.map((operand, i) => emit(operand, free + i));
      steps.push(MUX, free, select, low, high);
    } else {
      const code = operator === "and" ? AND : operator === "or" ? OR : XOR;
      let sofar = emit(operands[0] as Expression, free);
      for (const operand of operands.slice(1)) {
        steps.push(code, free, sofar, emit(operand, free + 1), 0);
        sofar = free;
      }
      return sofar;
    }
    return free;
  };

  const result = emit(expression, inputCount) * pairPlanes;
  const inNumbers = steps.map((step, i) =>
    i % stepLength === 0 || (steps[i - (i % stepLength)] === CONSTANT && i % stepLength > 1)
      ? step
      : step * pairPlanes,
  );
  return { steps: Int16Array.from(inNumbers), result, size };
}

/** Runs a program over a row of pair sets, in all phases at once; the result stands at `program.result`. */
export function runProgram(program: Program, row: Int32Array): void {
  const { steps } = program;
  for (let i = 0; i < steps.length; i += stepLength) {
    const to = steps[i + 1] as number;
    const a = steps[i + 2] as number;
    const b = steps[i + 3] as number;
    switch (steps[i]) {
      case NOT:
        notPairs(row, to, a);
        break;
      case AND:
        andPairs(row, to, a, b);
        break;
      case OR:
        orPairs(row, to, a, b);
        break;
      case XOR:
        xorPairs(row, to, a, b);
        break;
      case MUX:
        muxPairs(row, to, a, b, steps[i + 4] as number);
        break;
      default:
        constantPairs(row, to, a === 1);
    }
  }
}

/** A row of pair sets that fits all of the programs. */
export function rowFor(inputCount: number, ...programs: readonly (Program | undefined)[]): Int32Array {
  let size = inputCount;
  for (const program of programs) size = Math.max(size, program?.size ?? 0);
  return new Int32Array(size * pairPlanes);
}
