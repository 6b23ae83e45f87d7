import { type Expression, expressionPins } from "../../board/expression.js";
import type { Behaviour } from "../../board/part-type.js";
import { type CircuitPart, type Driver, pinNamed, type Wiring } from "./circuit.js";
import type { ProcessorWiring } from "./elements-processor.js";
import type { Element } from "./engine.js";
import { compileExpression, type Program } from "./program.js";

/** Elements and drivers as they are gathered, part by part. */
export interface Assembly {
  readonly wiring: Wiring;
  readonly elements: Element[];
  readonly drivers: Driver[];
  /** Nets with a resistor to a supply net. */
  readonly pulled: ReadonlySet<number>;
  processor: { readonly wiring: ProcessorWiring; readonly element: Element } | undefined;
}

/** Behaviour of one kind. */
export type BehaviourOf<K extends Behaviour["kind"]> = Extract<Behaviour, { kind: K }>;

/** Supply pins of a part that stand on supply nets; a supply pin on a signal net is left to the electrical check. */
export function suppliesOf(wiring: Wiring, part: CircuitPart): number[] {
  return part.pins.filter((pin) => {
    const found = wiring.pins[pin];
    return found?.kind === "power" && found.net >= 0 && wiring.netDuty[found.net] === 1;
  });
}

/** A new driver for a named output pin, or -1 if the pin is open or tied to a supply net. */
export function driverAt(assembly: Assembly, part: CircuitPart, name: string): number {
  const pin = pinNamed(assembly.wiring, part, name);
  const net = assembly.wiring.pins[pin]?.net ?? -1;
  if (net < 0 || assembly.wiring.netDuty[net] !== 0) return -1;
  assembly.drivers.push({ net, pin, part: part.index });
  return assembly.drivers.length - 1;
}

/** Compiles expressions of one part over a shared list of input pins. */
export function inputList(
  assembly: Assembly,
  part: CircuitPart,
  expressions: readonly (Expression | undefined)[],
) {
  const names = [...new Set(expressions.flatMap((e) => (e === undefined ? [] : expressionPins(e))))];
  const pins = names.map((name) => pinNamed(assembly.wiring, part, name));
  return {
    pins,
    compile: (e: Expression): Program => compileExpression(e, names.length, (name) => names.indexOf(name)),
  };
}
