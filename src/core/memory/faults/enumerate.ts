import type {
  Bit,
  CouplingFault,
  DecoderFault,
  Disturbance,
  FaultClass,
  MemoryFault,
  Wiring,
} from "./fault.js";

/** Size of a memory in words. */
export interface MemorySize {
  /** Words, 1 or more. */
  readonly addresses: number;
  /** Bits of a word, 1 or more. */
  readonly wordBits: number;
}

const bits: readonly Bit[] = [0, 1];
const disturbances: readonly Disturbance[] = ["r0", "r1", "0w0", "0w1", "1w0", "1w1"];

/**
 * Every fault of a class in a memory: at every cell, at every ordered pair of cells (also within one word), or for
 * decoder faults at every address and ordered pair of addresses.
 */
export function faultsOfClass(faultClass: FaultClass, size: MemorySize): MemoryFault[] {
  switch (faultClass) {
    case "AFand":
      return decoderFaults(size.addresses, "and");
    case "AFor":
      return decoderFaults(size.addresses, "or");
    case "SAF":
      return cellBits(size, (cell, value) => ({ kind: "SAF", cell, value }));
    case "TF":
      return cellBits(size, (cell, to) => ({ kind: "TF", cell, to }));
    case "SOF":
      return cells(size).map((cell) => ({ kind: "SOF", cell }));
    case "WDF":
    case "RDF":
    case "DRDF":
    case "IRF":
    case "DRF":
      return cellBits(size, (cell, state) => ({ kind: faultClass, cell, state }));
    default:
      return pairs(cells(size)).flatMap(([aggressor, victim]) =>
        couplings(faultClass).map((coupling): CouplingFault => ({ ...coupling, aggressor, victim })),
      );
  }
}

type Coupling = CouplingFault extends infer Fault
  ? Fault extends CouplingFault
    ? Omit<Fault, "aggressor" | "victim">
    : never
  : never;

function couplings(kind: CouplingFault["kind"]): Coupling[] {
  switch (kind) {
    case "CFin":
      return bits.map((to) => ({ kind, to }));
    case "CFid":
      return bitPairs().map(([to, forces]) => ({ kind, to, forces }));
    case "CFst":
      return bitPairs().map(([state, forces]) => ({ kind, state, forces }));
    case "CFdyn":
      return bitPairs().map(([value, forces]) => ({ kind, value, forces }));
    case "CFds":
      return disturbances.flatMap((operation) => bits.map((state): Coupling => ({ kind, operation, state })));
    default:
      return bitPairs().map(([aggressorState, state]) => ({ kind, aggressorState, state }));
  }
}

function decoderFaults(addresses: number, wiring: Wiring): DecoderFault[] {
  const all = Array.from({ length: addresses }, (_, address) => address);
  const alone = all.flatMap((x) =>
    bits.map((floating): DecoderFault => ({ kind: "AF", type: "A", x, floating, wiring })),
  );
  const paired = pairs(all).flatMap(([x, y]): DecoderFault[] => [
    ...bits.map((floating): DecoderFault => ({ kind: "AF", type: "B", x, y, floating, wiring })),
    { kind: "AF", type: "C", x, y, wiring },
    { kind: "AF", type: "D", x, y, wiring },
  ]);
  return [...alone, ...paired];
}

function cells({ addresses, wordBits }: MemorySize): number[] {
  return Array.from({ length: addresses * wordBits }, (_, cell) => cell);
}

function cellBits(size: MemorySize, make: (cell: number, bit: Bit) => MemoryFault): MemoryFault[] {
  return cells(size).flatMap((cell) => bits.map((bit) => make(cell, bit)));
}

function pairs(items: readonly number[]): [number, number][] {
  return items.flatMap((a) => items.filter((b) => b !== a).map((b): [number, number] => [a, b]));
}

function bitPairs(): [Bit, Bit][] {
  return bits.flatMap((a) => bits.map((b): [Bit, Bit] => [a, b]));
}
