import type { GateKind, Netlist } from "./netlist.js";

/**
 * Boolean functions as a graph of two-input ANDs and XORs in which equal nodes exist once. A literal is twice a node's
 * number, plus one for its complement; literals 0 and 1 are the constants. Equal literals are equal functions; different
 * literals need not be different ones.
 */
export interface XorAndGraph {
  /** Literal of the variable with that number. */
  variable(index: number): number;
  and(a: number, b: number): number;
  xor(a: number, b: number): number;
}

/** A net stuck at a value. */
export interface StuckNet {
  readonly net: number;
  readonly value: 0 | 1;
}

/** An empty graph. */
export function createXorAndGraph(): XorAndGraph {
  const nodeOf = new Map<string, number>();
  // [nodes]: the two operands of an AND node, undefined for other nodes.
  const operands: ([number, number] | undefined)[] = [undefined];

  const node = (key: string, pair?: [number, number]): number => {
    const known = nodeOf.get(key);
    if (known !== undefined) return 2 * known;
    operands.push(pair);
    nodeOf.set(key, operands.length - 1);
    return 2 * (operands.length - 1);
  };

  const xor = (a: number, b: number): number => {
    const inverted = (a ^ b) & 1;
    const [low, high] = sorted(a & ~1, b & ~1);
    if (low === high) return inverted;
    if (low === 0) return high ^ inverted;
    return node(`x ${low} ${high}`) ^ inverted;
  };

  const and = (a: number, b: number): number => {
    const [low, high] = sorted(a, b);
    if (low === 0 || low === (high ^ 1)) return 0;
    if (low === 1 || low === high) return high;
    return (
      absorbed(low, high) ?? absorbed(high, low) ?? asXor(low, high) ?? node(`a ${low} ${high}`, [low, high])
    );
  };

  /** x and (x and y) = x and y; x and not (x and y) = x and not y. */
  const absorbed = (x: number, other: number): number | undefined => {
    const pair = operands[other >> 1];
    if (pair === undefined || !pair.includes(x)) return undefined;
    const [p, q] = pair;
    return (other & 1) === 0 ? other : and(x, (p === x ? q : p) ^ 1);
  };

  /** not (x and y) and not (not x and not y) = x xor y. */
  const asXor = (low: number, high: number): number | undefined => {
    const first = operands[low >> 1];
    const second = operands[high >> 1];
    if (first === undefined || second === undefined || (low & high & 1) === 0) return undefined;
    const [x, y] = first;
    return second.includes(x ^ 1) && second.includes(y ^ 1) ? xor(x, y) : undefined;
  };

  return { variable: (index) => node(`v ${index}`), and, xor };
}

/**
 * Literals of a circuit's outputs, in their order, with the k-th input as variable k and `stuck` nets held. Constants
 * spread as far as the rules of the graph carry them.
 */
export function outputLiterals(
  graph: XorAndGraph,
  netlist: Netlist,
  stuck: readonly StuckNet[] = [],
): Int32Array {
  const held = new Map(stuck.map(({ net, value }) => [net, value]));
  const literals = new Int32Array(netlist.names.length);
  netlist.inputs.forEach((net, k) => {
    literals[net] = held.get(net) ?? graph.variable(k);
  });
  for (const gate of netlist.gates) {
    const inputs = gate.inputs.map((net) => literals[net] ?? 0);
    literals[gate.output] = held.get(gate.output) ?? gateLiteral(graph, gate.kind, inputs);
  }
  return Int32Array.from(netlist.outputs, (net) => literals[net] ?? 0);
}

function gateLiteral(graph: XorAndGraph, kind: GateKind, inputs: readonly number[]): number {
  const all = (list: readonly number[]): number => list.reduce((a, b) => graph.and(a, b), 1);
  const any = (): number => all(inputs.map((literal) => literal ^ 1)) ^ 1;
  const odd = (): number => inputs.reduce((a, b) => graph.xor(a, b), 0);
  switch (kind) {
    case "and":
    case "buf":
      return all(inputs);
    case "nand":
    case "not":
      return all(inputs) ^ 1;
    case "or":
      return any();
    case "nor":
      return any() ^ 1;
    case "xor":
      return odd();
    case "xnor":
      return odd() ^ 1;
  }
}

function sorted(a: number, b: number): [number, number] {
  return a <= b ? [a, b] : [b, a];
}
