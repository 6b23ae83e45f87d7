import { c17Text } from "../support/circuits/c17.js";
import { collapsedFaults, plant } from "../support/circuits/faults.js";
import { parseBench } from "../support/circuits/read-bench.js";
import { createSimulator } from "../support/circuits/simulator.js";
import type { Consistency } from "../support/weak-fault-model.js";

/** The circuit. */
export const c17 = parseBench(c17Text);

/** The names of the gates; gate k is bit k of a candidate. */
export const c17Gates: readonly string[] = c17.gates.map((gate) => c17.names[gate.output] ?? "");

/** All vectors, in the order 1 2 3 6 7: vector v applies bit 4 - k of v to input k. */
export const vectorCount = 32;

/** Vector number v as text. */
export function vectorText(vector: number): string {
  return vector.toString(2).padStart(c17.inputs.length, "0");
}

/**
 * Exact: a set of gates is consistent with the outputs if some values of their outputs give them. Each of the 64 lanes
 * gives every gate of the set the value of one bit of the lane's number.
 */
export function c17Consistency(vector: string, outputs: string): Consistency {
  const simulator = createSimulator(c17, 2);
  return (faulty) => {
    simulator.release();
    c17.inputs.forEach((net, k) => {
      simulator.fillInput(net, Number(vector[k]));
    });
    c17.gates.forEach((gate, k) => {
      if (((faulty >> k) & 1) === 0) return;
      for (let lane = 0; lane < simulator.lanes; lane += 1) {
        simulator.stickNet(gate.output, (lane >> k) & 1, lane);
      }
    });
    simulator.run();
    for (let word = 0; word < 2; word += 1) {
      const agreeing = c17.outputs.reduce((mask, net, k) => {
        const seen = -Number(outputs[k]);
        return mask & ~((simulator.values[2 * net + word] ?? 0) ^ seen);
      }, -1);
      if (agreeing !== 0) return true;
    }
    return false;
  };
}

/** Values of all nets under all vectors: bit v of word n is net n under vector v. `plantFault` may stick lines first. */
export function allVectors(plantFault: (simulator: ReturnType<typeof createSimulator>) => void): Int32Array {
  const simulator = createSimulator(c17);
  plantFault(simulator);
  c17.inputs.forEach((net, k) => {
    let bits = 0;
    for (let v = 0; v < vectorCount; v += 1) bits |= ((v >> (4 - k)) & 1) << v;
    simulator.setInput(net, 0, bits);
  });
  simulator.run();
  return simulator.values.slice();
}

/** The outputs under all vectors, one word an output: without a fault first, then with each collapsed fault. */
export function c17Responses(): number[][] {
  const outputsOf = (values: Int32Array): number[] => c17.outputs.map((net) => values[net] ?? 0);
  return [
    outputsOf(allVectors(() => undefined)),
    ...collapsedFaults(c17).map((fault) => outputsOf(allVectors((simulator) => plant(simulator, fault)))),
  ];
}

/** Vectors under which two responses differ, ascending. */
export function differingVectors(a: readonly number[], b: readonly number[]): number[] {
  const differing = a.reduce((mask, word, k) => mask | (word ^ (b[k] ?? 0)), 0);
  return Array.from({ length: vectorCount }, (_, v) => v).filter((v) => ((differing >>> v) & 1) === 1);
}
