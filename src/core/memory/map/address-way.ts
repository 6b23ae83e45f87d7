import type { Circuit, DrivenPin } from "./circuit.js";
import { passageOf } from "./circuit.js";

/** A part on the way of a signal, with the pin where it leaves the part; resistors have none. */
export interface WayPoint {
  readonly part: string;
  readonly pin?: string;
  readonly role: "resistor" | "multiplexer" | "buffer";
}

/** One processor address bit that reaches a memory pin, and the parts it passes before the last multiplexer. */
export interface AddressBit {
  /** Number of the processor's address line. */
  readonly bit: number;
  readonly before: readonly WayPoint[];
}

/** Where the level at an address pin of a memory comes from. */
export interface AddressWay {
  /** Parts shared by everything that comes over this line, from the memory back to the last multiplexer. */
  readonly shared: readonly WayPoint[];
  /** What comes as row address, or as the only address of a memory without strobes. */
  readonly row?: AddressBit;
  /** What comes as column address; only for multiplexed memories. */
  readonly column?: AddressBit;
  /** True if nothing on the board says which half of the multiplexer is the row, and it was taken for granted. */
  readonly isRowGuessed: boolean;
}

const maximumDepth = 12;

type Source =
  | { readonly kind: "processor"; readonly bit: number; readonly way: readonly WayPoint[] }
  | {
      readonly kind: "multiplexed";
      readonly way: readonly WayPoint[];
      readonly select: string;
      readonly low: Source & { kind: "processor" };
      readonly high: Source & { kind: "processor" };
    };

/** Follows an address net back to the processor; undefined if nothing on the way leads there. */
export function addressWay(circuit: Circuit, net: string): AddressWay | undefined {
  const lines = processorLines(circuit);
  const source = sourceOf(circuit, lines, net, maximumDepth, undefined);
  if (source === undefined) return undefined;
  if (source.kind === "processor")
    return { shared: source.way, row: { bit: source.bit, before: [] }, isRowGuessed: false };
  const level = columnLevel(circuit, source.select);
  const isRowLow = level !== false;
  const row = isRowLow ? source.low : source.high;
  const column = isRowLow ? source.high : source.low;
  return {
    shared: source.way,
    row: { bit: row.bit, before: row.way },
    column: { bit: column.bit, before: column.way },
    isRowGuessed: level === undefined,
  };
}

function processorLines({ board, part, netOf }: Circuit): ReadonlyMap<string, number> {
  const ref = board.processor;
  const behaviour = ref === undefined ? undefined : part(ref)?.type.behaviour;
  if (ref === undefined || behaviour?.kind !== "processor") return new Map();
  return new Map(
    behaviour.address.flatMap((pin, bit): [string, number][] => {
      const net = netOf(ref, pin);
      return net === undefined ? [] : [[net, bit]];
    }),
  );
}

function sourceOf(
  circuit: Circuit,
  lines: ReadonlyMap<string, number>,
  net: string,
  depth: number,
  cameBy: string | undefined,
): Source | undefined {
  const bit = lines.get(net);
  if (bit !== undefined) return { kind: "processor", bit, way: [] };
  if (depth === 0 || circuit.fixedLevel(net) !== undefined) return undefined;
  for (const driver of circuit.driversOf(net)) {
    if (driver.part === cameBy) continue;
    const found = throughDriver(circuit, lines, driver, depth);
    if (found !== undefined) return found;
  }
  for (const { net: other, part } of circuit.acrossResistor(net)) {
    if (part === cameBy) continue;
    const found = sourceOf(circuit, lines, other, depth - 1, part);
    if (found !== undefined) return { ...found, way: [{ part, role: "resistor" }, ...found.way] };
  }
  return undefined;
}

function throughDriver(
  circuit: Circuit,
  lines: ReadonlyMap<string, number>,
  driver: DrivenPin,
  depth: number,
): Source | undefined {
  const netAt = (pin: string): string | undefined => circuit.netOf(driver.part, pin);
  const passage = passageOf(driver.expression, (pin) => {
    const net = netAt(pin);
    return net === undefined ? false : circuit.fixedLevel(net);
  });
  if (passage === undefined) return undefined;
  const follow = (pin: string): Source | undefined => {
    const net = netAt(pin);
    return net === undefined ? undefined : sourceOf(circuit, lines, net, depth - 1, driver.part);
  };
  const role = passage.kind === "follows" ? "buffer" : "multiplexer";
  const own: WayPoint = { part: driver.part, pin: driver.number, role };
  const behind = (source: Source | undefined): Source | undefined =>
    source === undefined ? undefined : { ...source, way: [own, ...source.way] };
  if (passage.kind === "follows") return behind(follow(passage.pin));
  const low = follow(passage.low);
  const high = follow(passage.high);
  // A multiplexer between the processor and somebody else, such as the picture's counters, is only a part on the way.
  if (low === undefined || high === undefined) return behind(low ?? high);
  const select = netAt(passage.select);
  if (low.kind !== "processor" || high.kind !== "processor" || select === undefined) return undefined;
  return { kind: "multiplexed", way: [own], select, low, high };
}

/** Level of a multiplexer's select line at the end of a memory transfer, when the column is on the lines. */
function columnLevel({ board }: Circuit, select: string): boolean | undefined {
  const seen = new Set(
    board.phases
      .filter(({ cycle }) => cycle === "memory-read" || cycle === "memory-write")
      .map(({ levels }) => levels?.[select] ?? board.steady[select]),
  );
  const [only] = seen;
  if (seen.size !== 1) return undefined;
  return only === "high" ? true : only === "low" ? false : undefined;
}
