/** Truth functions of the gates met in the benchmark circuits. */
export const gateKinds = ["and", "nand", "or", "nor", "xor", "xnor", "not", "buf"] as const;

/** One of `gateKinds`. */
export type GateKind = (typeof gateKinds)[number];

/** A gate before levelising: net names, any order. */
export interface GateLine {
  readonly kind: GateKind;
  readonly output: string;
  readonly inputs: readonly string[];
}

/** A gate input: position `pin` among the inputs of gate number `gate`. */
export interface Sink {
  readonly gate: number;
  readonly pin: number;
}

/** A gate with nets as numbers. */
export interface Gate {
  readonly kind: GateKind;
  readonly output: number;
  readonly inputs: readonly number[];
}

/** A combinational circuit, its gates ordered so that every gate comes after those that feed it. */
export interface Netlist {
  /** [nets]: inputs first, then gate outputs in order of level. */
  readonly names: readonly string[];
  readonly inputs: readonly number[];
  /** In the order of the file. */
  readonly outputs: readonly number[];
  readonly gates: readonly Gate[];
  /** [nets]: 0 for inputs, one more than its highest input for a gate output. */
  readonly level: Int32Array;
  /** [nets]: the gate inputs that the net feeds. */
  readonly sinks: readonly (readonly Sink[])[];
  /** Net number of each name. */
  readonly netOf: ReadonlyMap<string, number>;
}

/**
 * Numbers the nets and orders the gates by level. Throws `RangeError` for a net without a driver or with two, and for
 * a loop.
 */
export function levelise(
  inputNames: readonly string[],
  outputNames: readonly string[],
  lines: readonly GateLine[],
): Netlist {
  const levels = levelsByName(inputNames, lines);
  const levelOf = (name: string): number => {
    const level = levels.get(name);
    if (level === undefined) throw new RangeError(`net ${name} has no driver, or is part of a loop`);
    return level;
  };
  const ordered = [...lines].sort((a, b) => levelOf(a.output) - levelOf(b.output));
  const names = [...inputNames, ...ordered.map((line) => line.output)];
  const netOf = new Map(names.map((name, net) => [name, net]));
  if (netOf.size !== names.length) throw new RangeError("a net has two drivers");
  const netNamed = (name: string): number => {
    const net = netOf.get(name);
    if (net === undefined) throw new RangeError(`net ${name} has no driver`);
    return net;
  };
  const gates = ordered.map((line) => ({
    kind: line.kind,
    output: netNamed(line.output),
    inputs: line.inputs.map(netNamed),
  }));
  const sinks: Sink[][] = names.map(() => []);
  gates.forEach((gate, g) => {
    gate.inputs.forEach((net, pin) => {
      sinks[net]?.push({ gate: g, pin });
    });
  });
  return {
    names,
    inputs: inputNames.map(netNamed),
    outputs: outputNames.map(netNamed),
    gates,
    level: Int32Array.from(names, levelOf),
    sinks,
    netOf,
  };
}

/** Number of gates on the longest path from an input to an output. */
export function depth(netlist: Netlist): number {
  return netlist.level.reduce((deepest, level) => Math.max(deepest, level), 0);
}

/** Number of the net called `name`; throws `RangeError` if there is none. */
export function netNumber(netlist: Netlist, name: string): number {
  const net = netlist.netOf.get(name);
  if (net === undefined) throw new RangeError(`there is no net ${name}`);
  return net;
}

/** Levels of all nets that can be reached from the inputs; what is missing hangs on a loop or on nothing. */
function levelsByName(inputNames: readonly string[], lines: readonly GateLine[]): Map<string, number> {
  const levels = new Map(inputNames.map((name) => [name, 0]));
  const waiting = new Map<string, GateLine[]>();
  const missing = new Map<GateLine, number>();
  const ready: GateLine[] = [];
  for (const line of lines) {
    const absent = line.inputs.filter((name) => !levels.has(name));
    missing.set(line, absent.length);
    if (absent.length === 0) ready.push(line);
    for (const name of absent) waiting.set(name, [...(waiting.get(name) ?? []), line]);
  }
  for (let line = ready.pop(); line !== undefined; line = ready.pop()) {
    levels.set(line.output, 1 + Math.max(...line.inputs.map((name) => levels.get(name) ?? 0)));
    for (const next of waiting.get(line.output) ?? []) {
      const left = (missing.get(next) ?? 0) - 1;
      missing.set(next, left);
      if (left === 0) ready.push(next);
    }
  }
  return levels;
}
