import { type Expression, expressionPins } from "../expression.js";
import type { PartType, PartTypePin } from "../part-type.js";
import type { CellLogic } from "./fuse-logic.js";
import type { FuseDevice } from "./fuse-maps.js";

/**
 * The part type of a programmed device: its pins by number, inputs named `I`, driven pins `O`, and the behaviour that
 * its fuses or equations give it. `name` tells it from others of the same device.
 */
export function programmedType(device: FuseDevice, name: string, cells: readonly CellLogic[]): PartType {
  const pins = device === "PAL20L8" ? 24 : 20;
  const byPin = new Map(cells.map((cell) => [cell.pin, cell]));
  const isClocked = cells.some(({ isRegistered }) => isRegistered);
  const nameOf = (pin: number): string => {
    if (pin === pins) return "VCC";
    if (pin === pins / 2) return "GND";
    if (isClocked && pin === 1) return "CLK";
    if (isClocked && pin === 11) return "/OE";
    return `${byPin.has(pin) ? "O" : "I"}${pin}`;
  };
  const kindOf = (pin: number): PartTypePin["kind"] => {
    if (pin === pins) return "power";
    if (pin === pins / 2) return "ground";
    const cell = byPin.get(pin);
    if (cell === undefined) return "in";
    return cell.enable === true ? "out" : "tri";
  };
  const named = (expression: Expression): Expression => renamed(expression, (pin) => nameOf(Number(pin)));
  const registers = cells.filter(({ isRegistered }) => isRegistered);
  const enables = cells.filter(({ enable }) => enable !== true);
  return {
    type: name,
    title: `${device}, programmed`,
    package: `DIP${pins}`,
    technology: device === "GAL16V8" ? "cmos" : "ttl",
    family: "programmable-logic",
    pins: Array.from({ length: pins }, (_, i) => ({
      number: String(i + 1),
      name: nameOf(i + 1),
      kind: kindOf(i + 1),
    })),
    rails: [{ pin: "VCC", nominalVolt: 5, minimumVolt: 4.75, maximumVolt: 5.25 }],
    behaviour: {
      kind: "logic",
      outputs: Object.fromEntries(
        cells
          .filter(({ isRegistered }) => !isRegistered)
          .map(({ pin, level }) => [nameOf(pin), named(level)]),
      ),
      ...(registers.length === 0
        ? {}
        : {
            registers: [
              {
                kind: "edge" as const,
                clock: "CLK",
                outputs: registers.map(({ pin, level }) => ({ pin: nameOf(pin), data: named(level) })),
              },
            ],
          }),
      ...(enables.length === 0
        ? {}
        : { enables: Object.fromEntries(enables.map(({ pin, enable }) => [nameOf(pin), named(enable)])) }),
    },
    sources: [{ id: "common-practice", confidence: "memory" }],
  };
}

/** Pins that the logic reads, by number. */
export function readPins(cells: readonly CellLogic[]): number[] {
  const names = cells.flatMap(({ level, enable }) => [...expressionPins(level), ...expressionPins(enable)]);
  return [...new Set(names.map(Number))].sort((a, b) => a - b);
}

function renamed(expression: Expression, nameOf: (pin: string) => string): Expression {
  if (typeof expression === "boolean") return expression;
  if (typeof expression === "string") return nameOf(expression);
  const inner = (operand: Expression): Expression => renamed(operand, nameOf);
  switch (expression[0]) {
    case "not":
      return ["not", inner(expression[1])];
    case "mux":
      return ["mux", inner(expression[1]), inner(expression[2]), inner(expression[3])];
    default: {
      const [operator, ...operands] = expression;
      return [operator, ...operands.map(inner)];
    }
  }
}
