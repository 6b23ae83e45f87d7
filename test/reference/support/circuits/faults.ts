import type { GateKind, Netlist } from "./netlist.js";
import type { Simulator } from "./simulator.js";

/** A place where a circuit can be stuck: a whole net (stem), or one of the branches of a net that forks. */
export type Line =
  | { readonly kind: "stem"; readonly net: number }
  | { readonly kind: "branch"; readonly net: number; readonly gate: number; readonly pin: number };

/** A line stuck at `value`. */
export interface StuckFault {
  readonly line: Line;
  readonly value: 0 | 1;
}

/**
 * All lines: every net, and every gate input fed by a net that feeds more than one. An output of the circuit does not
 * count as a branch (the counting of Brglez and Fujiwara 1985).
 */
export function circuitLines(netlist: Netlist): Line[] {
  return netlist.sinks.flatMap((sinks, net): Line[] => [
    { kind: "stem", net },
    ...(sinks.length > 1 ? sinks.map((sink): Line => ({ kind: "branch", net, ...sink })) : []),
  ]);
}

/**
 * One fault of each class of structurally equivalent single stuck-at faults: an input of an AND stuck at 0 is its output
 * stuck at 0, and so on through NAND, OR, NOR, NOT and buffer; XOR joins nothing. The one kept is the fault nearest to
 * the inputs.
 */
export function collapsedFaults(netlist: Netlist): StuckFault[] {
  const lines = circuitLines(netlist);
  const lineOfPin = new Map<string, number>();
  const stemOf = new Map<number, number>();
  lines.forEach((line, index) => {
    if (line.kind === "stem") stemOf.set(line.net, index);
    else lineOfPin.set(`${line.gate} ${line.pin}`, index);
  });
  const parent = Int32Array.from({ length: lines.length * 2 }, (_, k) => k);
  const find = (start: number): number => {
    let k = start;
    while (parent[k] !== k) k = parent[k] ?? k;
    return k;
  };
  netlist.gates.forEach((gate, g) => {
    const output = stemOf.get(gate.output) ?? 0;
    gate.inputs.forEach((net, pin) => {
      const input = lineOfPin.get(`${g} ${pin}`) ?? stemOf.get(net) ?? 0;
      // A gate input that is the net itself says nothing about the net where the net is also seen as an output.
      if (lines[input]?.kind === "stem" && netlist.outputs.includes(net)) return;
      for (const [inputValue, outputValue] of controllingPairs(gate.kind)) {
        const a = find(2 * input + inputValue);
        const b = find(2 * output + outputValue);
        parent[Math.max(a, b)] = Math.min(a, b);
      }
    });
  });
  return lines.flatMap((line, index) =>
    ([0, 1] as const)
      .filter((value) => parent[2 * index + value] === 2 * index + value)
      .map((value) => ({ line, value })),
  );
}

/** Sticks the line of `fault` in all lanes. */
export function plant(simulator: Simulator, fault: StuckFault): void {
  const { line, value } = fault;
  if (line.kind === "stem") simulator.stickNet(line.net, value);
  else simulator.stickPin(line.gate, line.pin, value);
}

/** [input value, output value] pairs of faults that no test tells apart. */
function controllingPairs(kind: GateKind): readonly (readonly [number, number])[] {
  switch (kind) {
    case "and":
      return [[0, 0]];
    case "nand":
      return [[0, 1]];
    case "or":
      return [[1, 1]];
    case "nor":
      return [[1, 0]];
    case "not":
      return [
        [0, 1],
        [1, 0],
      ];
    case "buf":
      return [
        [0, 0],
        [1, 1],
      ];
    default:
      return [];
  }
}
