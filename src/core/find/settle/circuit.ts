import type { Board, BoardPart } from "../../board/board.js";
import type { PartType, PinKind } from "../../board/part-type.js";
import { Level } from "./value.js";

/** Where part types are looked up. */
export interface TypeSource {
  get(type: string): PartType | undefined;
}

/** One pin of one part, as the settling engine sees it. */
export interface CircuitPin {
  readonly part: number;
  readonly number: string;
  readonly name: string;
  readonly kind: PinKind;
  /** -1 if the pin is left open. */
  readonly net: number;
  /** 0: reads an open line as high (TTL), 1: may read anything (MOS). */
  readonly reading: 0 | 1;
}

export interface CircuitPart {
  readonly index: number;
  readonly part: BoardPart;
  readonly type: PartType;
  /** Pin indices in the order of the type's pin list (or the board's, for free pins). */
  readonly pins: readonly number[];
}

/** A resistor from a supply net to a signal net. */
export interface Pull {
  readonly net: number;
  readonly rail: number;
  readonly part: number;
}

/** What an output pin, or a part that passes a signal on, puts on a net. */
export interface Driver {
  readonly net: number;
  /** -1 where no single pin stands for it. */
  readonly pin: number;
  readonly part: number;
  /** Net whose value it passes on, of a resistor, link, switch or diode. */
  readonly from?: number;
  /** One of several resistors that mix their sources on the net. */
  readonly mixes?: boolean;
  /** Supply net that feeds this one without a limit, and goes down with it when it is shorted. */
  readonly drags?: number;
}

/** Names, indices and connections of a board, ready for settling. Holds no values. */
export interface Wiring {
  readonly board: Board;
  readonly phaseCount: number;
  readonly parts: readonly CircuitPart[];
  readonly partIndex: ReadonlyMap<string, number>;
  readonly pins: readonly CircuitPin[];
  /** By `ref.number`. */
  readonly pinIndex: ReadonlyMap<string, number>;
  readonly nets: readonly string[];
  readonly netIndex: ReadonlyMap<string, number>;
  /** Pins by net. */
  readonly netPins: readonly (readonly number[])[];
  /** 0 signal, 1 rail, 2 ground. */
  readonly netDuty: Uint8Array;
  /** Level given by the board for a net in a phase, or -1. */
  readonly givenLevel: Int8Array;
}

const levelOfName = {
  low: Level.low,
  high: Level.high,
  pulsing: Level.pulsing,
  released: Level.floating,
} as const;

const ttlTechnologies = new Set(["ttl", "ls-ttl", "s-ttl"]);

/**
 * Lays out a board as index tables. The board must have been checked against the library
 * (`parseBoardFile` does); a part whose type is unknown throws `RangeError`.
 */
export function layWiring(board: Board, types: TypeSource): Wiring {
  const nets: string[] = [];
  const netIndex = new Map<string, number>();
  const netPins: number[][] = [];
  const netNumber = (name: string): number => {
    const known = netIndex.get(name);
    if (known !== undefined) return known;
    netIndex.set(name, nets.length);
    nets.push(name);
    netPins.push([]);
    return nets.length - 1;
  };
  netNumber(board.ground);
  for (const rail of board.rails) netNumber(rail.net);

  const pins: CircuitPin[] = [];
  const pinIndex = new Map<string, number>();
  const parts: CircuitPart[] = [];
  const partIndex = new Map<string, number>();
  for (const part of board.parts) {
    const type = types.get(part.type);
    if (type === undefined) throw new RangeError(`part ${part.ref} has the unknown type ${part.type}`);
    const index = parts.length;
    const reading = ttlTechnologies.has(type.technology) ? 0 : 1;
    const list =
      type.pins === "as-board"
        ? Object.keys(part.pins).map((number) => ({ number, name: number, kind: "passive" as const }))
        : type.pins;
    const own: number[] = [];
    for (const { number, name, kind } of list) {
      const netName = part.pins[number];
      const net = netName === undefined ? -1 : netNumber(netName);
      const pin = pins.length;
      pins.push({ part: index, number, name, kind, net, reading });
      pinIndex.set(`${part.ref}.${number}`, pin);
      if (net >= 0) netPins[net]?.push(pin);
      own.push(pin);
    }
    parts.push({ index, part, type, pins: own });
    partIndex.set(part.ref, index);
  }

  const netDuty = new Uint8Array(nets.length);
  netDuty[0] = 2;
  for (const rail of board.rails) netDuty[netNumber(rail.net)] = 1;

  const phaseCount = board.phases.length;
  const givenLevel = new Int8Array(nets.length * phaseCount).fill(-1);
  for (const [name, level] of Object.entries(board.steady)) {
    const net = netIndex.get(name);
    if (net !== undefined) givenLevel.fill(levelOfName[level], net * phaseCount, (net + 1) * phaseCount);
  }
  for (const [k, phase] of board.phases.entries()) {
    for (const [name, level] of Object.entries(phase.levels ?? {})) {
      const net = netIndex.get(name);
      if (net !== undefined) givenLevel[net * phaseCount + k] = levelOfName[level];
    }
  }
  return {
    board,
    phaseCount,
    parts,
    partIndex,
    pins,
    pinIndex,
    nets,
    netIndex,
    netPins,
    netDuty,
    givenLevel,
  };
}

/** Pin of a part by its name; throws `RangeError` if the type has no such pin. */
export function pinNamed(wiring: Wiring, part: CircuitPart, name: string): number {
  for (const pin of part.pins) if (wiring.pins[pin]?.name === name) return pin;
  for (const pin of part.pins) if (wiring.pins[pin]?.number === name) return pin;
  if (part.type.pins === "as-board") return -1;
  throw new RangeError(`type ${part.type.type} has no pin named ${name}`);
}

/** `U7.12`, for messages. */
export function pinLabel(wiring: Wiring, pin: number): string {
  const found = wiring.pins[pin];
  return found === undefined ? "?" : `${wiring.parts[found.part]?.part.ref}.${found.number}`;
}
