import type { Random } from "../../src/core/base/random.js";
import type { ProbeTable } from "../../src/core/inference/probe-table.js";
import type { Netlist } from "../../test/reference/support/circuits/netlist.js";
import { createSimulator } from "../../test/reference/support/circuits/simulator.js";

/** A fault, an input vector that shows it, and what could explain the outputs. */
export interface ProbingCase {
  /** Nets that could be the stuck one, given the outputs; each stands for itself stuck at the wrong value. */
  readonly suspects: readonly number[];
  /** Position of the true one in `suspects`. */
  readonly truth: number;
  /** What a probe on each net would show under each suspect. */
  readonly table: ProbeTable;
}

/**
 * Draws cases of one circuit: a net, the value it is stuck at and a vector, all at random, kept if an output is wrong.
 * Drawn together, so that given the vector and the outputs every suspect is equally likely; drawing the fault first and
 * then vectors until one fails would favour faults that are hard to see.
 */
export function createCaseSource(netlist: Netlist, random: Random): () => ProbingCase {
  const netCount = netlist.names.length;
  const healthy = createSimulator(netlist);
  const faulty = createSimulator(netlist);

  /** The first of 32 random draws in which an output is wrong. */
  const drawFailing = (): { net: number; vector: Int32Array } | undefined => {
    const nets = Array.from({ length: 32 }, () => random.below(netCount));
    faulty.release();
    nets.forEach((net, lane) => {
      faulty.stickNet(net, random.below(2), lane);
    });
    for (const input of netlist.inputs) {
      const bits = Math.trunc(random.next() * 4294967296) | 0;
      healthy.setInput(input, 0, bits);
      faulty.setInput(input, 0, bits);
    }
    healthy.run();
    faulty.run();
    let wrong = 0;
    for (const output of netlist.outputs)
      wrong |= (healthy.values[output] ?? 0) ^ (faulty.values[output] ?? 0);
    if (wrong === 0) return undefined;
    const lane = 31 - Math.clz32(wrong & -wrong);
    // From the healthy half: a stuck input must not hide what was applied to it.
    const vector = Int32Array.from(netlist.inputs, (input) => ((healthy.values[input] ?? 0) >>> lane) & 1);
    return { net: nets[lane] ?? 0, vector };
  };

  /** Values of all nets with each of `flipped` stuck at the opposite of its fault-free value, one lane each. */
  const simulateFlips = (vector: Int32Array, good: Int32Array, flipped: readonly number[]) => {
    const words = Math.ceil(flipped.length / 32);
    const simulator = createSimulator(netlist, words);
    netlist.inputs.forEach((input, k) => {
      simulator.fillInput(input, vector[k] ?? 0);
    });
    flipped.forEach((net, lane) => {
      simulator.stickNet(net, 1 - (good[net] ?? 0), lane);
    });
    simulator.run();
    return { words, values: simulator.values };
  };

  return () => {
    for (;;) {
      const drawn = drawFailing();
      if (drawn === undefined) continue;
      const { net, vector } = drawn;
      const good = faultFree(netlist, vector);
      const everyNet = Array.from({ length: netCount }, (_, k) => k);
      const { words, values } = simulateFlips(vector, good, everyNet);
      const alike = new Int32Array(words).fill(-1);
      for (const output of netlist.outputs) {
        const seen = -bit(values, output * words, net);
        for (let w = 0; w < words; w += 1) {
          alike[w] = (alike[w] ?? 0) & ~((values[output * words + w] ?? 0) ^ seen);
        }
      }
      const suspects = everyNet.filter((lane) => bit(alike, 0, lane) === 1);
      const shown = simulateFlips(vector, good, suspects);
      return {
        suspects,
        truth: suspects.indexOf(net),
        table: {
          suspectCount: suspects.length,
          probeCount: netCount,
          words: shown.words,
          outcomes: shown.values,
        },
      };
    }
  };
}

/** [nets]: values without a fault. */
function faultFree(netlist: Netlist, vector: Int32Array): Int32Array {
  const simulator = createSimulator(netlist, 1);
  netlist.inputs.forEach((input, k) => {
    simulator.fillInput(input, vector[k] ?? 0);
  });
  simulator.run();
  return simulator.values.map((word) => word & 1);
}

function bit(data: Int32Array, base: number, lane: number): number {
  return ((data[base + (lane >>> 5)] ?? 0) >>> (lane & 31)) & 1;
}
