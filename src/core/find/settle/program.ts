import type { Expression } from "../../board/expression.js";
import { andPairs, muxPairs, notPairs, orPairs, xorPairs } from "./pairs.js";

/** An expression turned into a list of steps for a stack: operands ≥ 0 are input positions, negatives are operators. */
export type Program = Int16Array;

const NOT = -1;
const AND = -2;
const OR = -3;
const XOR = -4;
const MUX = -5;
const FALSE = -6;
const TRUE = -7;
const pairsLow = 1;
const pairsHigh = 8;

/**
 * Compiles an expression; `positionOf` gives the input position of a pin name.
 * Throws whatever `positionOf` throws for a pin it does not know.
 */
export function compileExpression(expression: Expression, positionOf: (pin: string) => number): Program {
  const steps: number[] = [];
  emit(expression, positionOf, steps);
  return Int16Array.from(steps);
}

function emit(expression: Expression, positionOf: (pin: string) => number, steps: number[]): void {
  if (typeof expression === "boolean") {
    steps.push(expression ? TRUE : FALSE);
    return;
  }
  if (typeof expression === "string") {
    steps.push(positionOf(expression));
    return;
  }
  const [operator, ...operands] = expression;
  for (const operand of operands) emit(operand, positionOf, steps);
  switch (operator) {
    case "not":
      steps.push(NOT);
      return;
    case "mux":
      steps.push(MUX);
      return;
    default: {
      const code = operator === "and" ? AND : operator === "or" ? OR : XOR;
      for (let i = 1; i < operands.length; i += 1) steps.push(code);
    }
  }
}

const stack = new Uint8Array(64);

/** Runs a program over the pair sets of its inputs (`inputs[position]`); returns the pair set of the result. */
export function runProgram(program: Program, inputs: Uint8Array): number {
  let top = 0;
  for (let i = 0; i < program.length; i += 1) {
    const step = program[i] as number;
    if (step >= 0) {
      stack[top] = inputs[step] as number;
      top += 1;
      continue;
    }
    switch (step) {
      case NOT:
        stack[top - 1] = notPairs(stack[top - 1] as number);
        break;
      case AND:
        top -= 1;
        stack[top - 1] = andPairs(stack[top - 1] as number, stack[top] as number);
        break;
      case OR:
        top -= 1;
        stack[top - 1] = orPairs(stack[top - 1] as number, stack[top] as number);
        break;
      case XOR:
        top -= 1;
        stack[top - 1] = xorPairs(stack[top - 1] as number, stack[top] as number);
        break;
      case MUX:
        top -= 2;
        stack[top - 1] = muxPairs(stack[top - 1] as number, stack[top] as number, stack[top + 1] as number);
        break;
      default:
        stack[top] = step === TRUE ? pairsHigh : pairsLow;
        top += 1;
    }
  }
  return stack[0] as number;
}
