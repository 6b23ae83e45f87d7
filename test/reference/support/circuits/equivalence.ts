import type { Random } from "../../../../src/core/base/random.js";
import type { Netlist } from "./netlist.js";
import { createSimulator } from "./simulator.js";
import { createXorAndGraph, outputLiterals, type StuckNet } from "./xor-and-graph.js";

/** Sets of faults sorted by what they make of the circuit. */
export interface FaultClasses {
  /** Positions in the list given, ascending; classes in the order of their first member. */
  readonly classes: readonly (readonly number[])[];
  /** True if the members of every class are proven to be equal. Different classes always differ: an input shows it. */
  readonly proven: boolean;
}

/**
 * Sorts `diagnoses`, each a set of nets stuck together, into classes that no input vector can tell apart. Random vectors
 * only split: what they leave together must be proven equal by carrying the constants through the circuit
 * (`XorAndGraph`), or `proven` is false. `words` is the number of words of 32 random vectors.
 */
export function equivalenceClasses(
  netlist: Netlist,
  diagnoses: readonly (readonly StuckNet[])[],
  random: Random,
  words = 512,
): FaultClasses {
  const simulator = createSimulator(netlist, words);
  for (const net of netlist.inputs) {
    for (let w = 0; w < words; w += 1) {
      simulator.setInput(net, w, Math.trunc(random.next() * 4294967296) | 0);
    }
  }
  const responses: Int32Array[] = [];
  const classes: number[][] = [];
  diagnoses.forEach((diagnosis, index) => {
    simulator.release();
    for (const { net, value } of diagnosis) simulator.stickNet(net, value);
    simulator.run();
    const response = new Int32Array(netlist.outputs.length * words);
    netlist.outputs.forEach((net, k) => {
      response.set(simulator.values.subarray(net * words, (net + 1) * words), k * words);
    });
    const found = responses.findIndex((other) => equal(other, response));
    if (found < 0) {
      responses.push(response);
      classes.push([index]);
    } else classes[found]?.push(index);
  });
  const graph = createXorAndGraph();
  const literals = diagnoses.map((diagnosis) => outputLiterals(graph, netlist, diagnosis));
  const proven = classes.every((members) => {
    const first = literals[members[0] ?? 0] ?? new Int32Array();
    return members.every((member) => equal(first, literals[member] ?? new Int32Array()));
  });
  return { classes, proven };
}

function equal(a: Int32Array, b: Int32Array): boolean {
  return a.length === b.length && a.every((word, k) => word === b[k]);
}
