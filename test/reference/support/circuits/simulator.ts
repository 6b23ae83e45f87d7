import type { GateKind, Netlist } from "./netlist.js";

/**
 * Simulates many patterns at once: each net holds `words` words of 32 lanes, and every lane is a circuit of its own
 * with its own inputs and its own forced lines.
 */
export interface Simulator {
  readonly lanes: number;
  /** [nets × words], row-major: lane l of net n is bit l % 32 of word `n * words + floor(l / 32)`. */
  readonly values: Int32Array;
  /** Sets one input net in one word of lanes. */
  setInput(net: number, word: number, bits: number): void;
  /** Sets an input net to the same value in all lanes. */
  fillInput(net: number, value: number): void;
  /** Sticks a net at `value` (0 or 1) in one lane, or in all if no lane is given. */
  stickNet(net: number, value: number, lane?: number): void;
  /** Sticks one input of one gate at `value` in all lanes, leaving the net as it is elsewhere. */
  stickPin(gate: number, pin: number, value: number): void;
  /** Ends all sticking. */
  release(): void;
  /** Computes every net from the inputs, level by level. */
  run(): void;
}

/** A simulator with `words` × 32 lanes. */
export function createSimulator(netlist: Netlist, words = 1): Simulator {
  const netCount = netlist.names.length;
  const values = new Int32Array(netCount * words);
  const given = new Int32Array(netCount * words);
  const keep = new Int32Array(netCount * words).fill(-1);
  const set = new Int32Array(netCount * words);
  const stuckPins = new Map<number, Map<number, number>>();
  const gates = netlist.gates;
  const scratch = new Int32Array(words);

  const finish = (net: number): void => {
    const base = net * words;
    for (let w = base; w < base + words; w += 1)
      values[w] = ((values[w] ?? 0) & (keep[w] ?? 0)) | (set[w] ?? 0);
  };

  return {
    lanes: words * 32,
    values,
    setInput(net, word, bits) {
      given[net * words + word] = bits;
    },
    fillInput(net, value) {
      given.fill(-value, net * words, (net + 1) * words);
    },
    stickNet(net, value, lane) {
      const first = net * words;
      for (let w = 0; w < words; w += 1) {
        const mask = lane === undefined ? -1 : w === lane >>> 5 ? 1 << (lane & 31) : 0;
        keep[first + w] = (keep[first + w] ?? 0) & ~mask;
        set[first + w] = ((set[first + w] ?? 0) & ~mask) | (mask & -value);
      }
    },
    stickPin(gate, pin, value) {
      const pins = stuckPins.get(gate) ?? new Map<number, number>();
      stuckPins.set(gate, pins.set(pin, -value));
    },
    release() {
      keep.fill(-1);
      set.fill(0);
      stuckPins.clear();
    },
    run() {
      for (const net of netlist.inputs) {
        for (let w = net * words; w < (net + 1) * words; w += 1) values[w] = given[w] ?? 0;
        finish(net);
      }
      for (let g = 0; g < gates.length; g += 1) {
        const gate = gates[g];
        if (gate === undefined) continue;
        const stuck = stuckPins.size === 0 ? undefined : stuckPins.get(g);
        evaluate(gate.kind, gate.inputs, values, words, scratch, stuck);
        values.set(scratch, gate.output * words);
        finish(gate.output);
      }
    },
  };
}

function evaluate(
  kind: GateKind,
  inputs: readonly number[],
  values: Int32Array,
  words: number,
  into: Int32Array,
  stuck: ReadonlyMap<number, number> | undefined,
): void {
  const inverted = kind === "nand" || kind === "nor" || kind === "xnor" || kind === "not" ? -1 : 0;
  const isAnd = kind === "and" || kind === "nand";
  const isXor = kind === "xor" || kind === "xnor";
  into.fill(isAnd ? -1 : 0);
  for (let pin = 0; pin < inputs.length; pin += 1) {
    const base = (inputs[pin] ?? 0) * words;
    const fixed = stuck?.get(pin);
    for (let w = 0; w < words; w += 1) {
      const value = fixed ?? values[base + w] ?? 0;
      const before = into[w] ?? 0;
      into[w] = isAnd ? before & value : isXor ? before ^ value : before | value;
    }
  }
  if (inverted !== 0) for (let w = 0; w < words; w += 1) into[w] = ~(into[w] ?? 0);
}
