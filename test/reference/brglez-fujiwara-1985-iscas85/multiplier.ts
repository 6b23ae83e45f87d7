import type { Random } from "../../../src/core/base/random.js";
import type { Netlist } from "../support/circuits/netlist.js";
import { createSimulator } from "../support/circuits/simulator.js";

const factorBits = 16;

/**
 * How many of `pairs` random pairs of 16-bit numbers the circuit multiplies right: the first 16 inputs are one factor, the
 * last 16 the other, lowest bit first; outputs likewise, but the last two are swapped.
 */
export function countRightProducts(netlist: Netlist, pairs: number, random: Random): number {
  const words = Math.ceil(pairs / 32);
  const simulator = createSimulator(netlist, words);
  const factors = Array.from(
    { length: words * 32 },
    () => [random.below(65536), random.below(65536)] as const,
  );
  netlist.inputs.forEach((net, k) => {
    for (let w = 0; w < words; w += 1) {
      let bits = 0;
      for (let lane = 0; lane < 32; lane += 1) {
        const factor = factors[32 * w + lane]?.[k < factorBits ? 0 : 1] ?? 0;
        bits |= ((factor >> (k % factorBits)) & 1) << lane;
      }
      simulator.setInput(net, w, bits);
    }
  });
  simulator.run();
  const outputs = [...netlist.outputs];
  const last = outputs.pop() ?? 0;
  outputs.splice(-1, 0, last);
  return factors.slice(0, pairs).filter(([a, b], pair) => {
    let product = 0;
    outputs.forEach((net, k) => {
      product += (((simulator.values[net * words + (pair >>> 5)] ?? 0) >>> (pair & 31)) & 1) * 2 ** k;
    });
    return product === a * b;
  }).length;
}
