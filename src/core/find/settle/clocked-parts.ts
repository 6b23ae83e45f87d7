import { type Expression, expressionPins } from "../../board/expression.js";
import type { RegisterBehaviour } from "../../board/part-type.js";
import { type CircuitPart, pinNamed, type Wiring } from "./circuit.js";

/** A combinational output of a part. */
export interface Gate {
  readonly part: CircuitPart;
  readonly net: number;
  readonly expression: Expression;
  /** Nets it depends on, each once; -1 for an open pin. */
  readonly inputs: readonly number[];
}

/** A register of a part. */
export interface Register {
  readonly part: CircuitPart;
  readonly behaviour: RegisterBehaviour;
  readonly clockNet: number;
  readonly outputs: readonly StoredOutput[];
}

/** One output of a register. */
export interface StoredOutput {
  /** -1 if it is open. */
  readonly net: number;
  readonly inverted: boolean;
  readonly data: Expression | undefined;
  /** Clocks to its period, of a counter. */
  readonly divides: number | undefined;
}

/** Net of a part's pin by name; -1 if it is open. */
export function netAt(wiring: Wiring, part: CircuitPart, name: string): number {
  return wiring.pins[pinNamed(wiring, part, name)]?.net ?? -1;
}

/** Nets an expression over the pins of a part depends on, each once. */
export function netsOf(
  wiring: Wiring,
  part: CircuitPart,
  ...expressions: (Expression | undefined)[]
): number[] {
  const names = expressions.flatMap((expression) =>
    expression === undefined ? [] : expressionPins(expression),
  );
  return [...new Set(names.map((name) => netAt(wiring, part, name)))];
}

/** Every combinational output on a signal net that can never let go. */
export function gatesOf(wiring: Wiring): Gate[] {
  return wiring.parts.flatMap((part) => {
    const behaviour = part.type.behaviour;
    if (behaviour.kind !== "logic") return [];
    return Object.entries(behaviour.outputs).flatMap(([name, expression]): Gate[] => {
      const net = netAt(wiring, part, name);
      if (net < 0 || wiring.netDuty[net] !== 0 || behaviour.enables?.[name] !== undefined) return [];
      return [{ part, net, expression, inputs: netsOf(wiring, part, expression) }];
    });
  });
}

/** Every register, with all its outputs. */
export function registersOf(wiring: Wiring): Register[] {
  return wiring.parts.flatMap((part) => {
    const behaviour = part.type.behaviour;
    if (behaviour.kind !== "logic") return [];
    return (behaviour.registers ?? []).map((register): Register => {
      const outputs = register.outputs.flatMap(({ pin, inverted, data, divides }) =>
        [
          { name: pin, inverted: false },
          { name: inverted, inverted: true },
        ].flatMap(({ name, inverted: opposite }): StoredOutput[] =>
          name === undefined ? [] : [{ net: netAt(wiring, part, name), inverted: opposite, data, divides }],
        ),
      );
      return { part, behaviour: register, clockNet: netAt(wiring, part, register.clock), outputs };
    });
  });
}

/** Counters that divide by powers of two, and flip-flops. */
export function isBinary({ behaviour, outputs }: Register): boolean {
  if (behaviour.kind === "edge") return outputs.every((output) => output.data !== undefined);
  const isPower = (n: number | undefined): boolean => n !== undefined && Number.isInteger(Math.log2(n));
  return behaviour.kind === "counter" && outputs.every((output) => isPower(output.divides));
}

/** Counters without load and enable are the ones whose stages clock each other, on the falling edge. */
export function isRipple({ behaviour }: Register): boolean {
  return behaviour.kind === "counter" && behaviour.load === undefined && behaviour.run === undefined;
}

/** A carry: the output of a loadable counter that takes no data. */
export function isCarry({ behaviour }: Register, output: StoredOutput): boolean {
  return behaviour.kind === "counter" && behaviour.load !== undefined && output.data === undefined;
}

/** Those of the candidates, and the gates between them, whose inputs are all known: made by them or at rest. */
export function takePart(
  wiring: Wiring,
  clockNet: number,
  constant: Int8Array,
  gates: readonly Gate[],
  candidates: readonly Register[],
): { registers: Register[]; gates: Gate[] } {
  let registers = [...candidates];
  for (;;) {
    const nets = new Set<number>([-1]);
    for (const [net, level] of constant.entries()) if (level >= 0) nets.add(net);
    for (const { outputs } of registers) for (const { net } of outputs) nets.add(net);
    nets.delete(clockNet);
    const ordered: Gate[] = [];
    for (let before = -1; before < ordered.length; ) {
      before = ordered.length;
      for (const gate of gates) {
        if (nets.has(gate.net) || gate.net === clockNet || !gate.inputs.every((net) => nets.has(net)))
          continue;
        nets.add(gate.net);
        ordered.push(gate);
      }
    }
    const stay = registers.filter(({ part, behaviour, outputs, clockNet: own }) => {
      const { clear, preset, load, run } = behaviour;
      const inputs = netsOf(wiring, part, clear, preset, load, run, ...outputs.map((output) => output.data));
      return (own === clockNet || nets.has(own)) && inputs.every((net) => nets.has(net));
    });
    if (stay.length === registers.length) return { registers, gates: ordered };
    registers = stay;
  }
}
