import type { Board, BoardPart } from "../board.js";
import type { PartType, PinKind } from "../part-type.js";
import { type PassiveLink, passiveLinks } from "../passive-links.js";

/** Where part types are looked up. */
export interface TypeLookup {
  get(type: string): PartType | undefined;
}

/** A pin of a part with a known type; `net` is absent where it is left open. */
export interface ViewPin {
  readonly part: BoardPart;
  readonly type: PartType;
  readonly number: string;
  readonly name: string;
  readonly kind: PinKind;
  readonly net?: string;
}

/** A way from a net through a passive part. */
export type Conductor = Omit<PassiveLink, "from">;

/** A board laid out for the rules: pins by part and by net, supplies, and ways through passive parts. */
export interface CircuitView {
  readonly board: Board;
  readonly types: TypeLookup;
  /** Pins of all parts whose type is known, open ones included. */
  readonly pins: readonly ViewPin[];
  /** Connected pins by net. */
  readonly pinsOfNet: ReadonlyMap<string, readonly ViewPin[]>;
  /** Number of pins on each net, those of unknown parts included. */
  readonly pinCounts: ReadonlyMap<string, number>;
  readonly conductors: ReadonlyMap<string, readonly Conductor[]>;
  isSupply(net: string): boolean;
  /** Nominal voltage of a supply net, 0 for ground; undefined for other nets. */
  voltOf(net: string): number | undefined;
}

/** Lays a board out for the rules of the electrical check. */
export function viewCircuit(board: Board, types: TypeLookup): CircuitView {
  const volts = new Map<string, number>(board.rails.map((rail) => [rail.net, rail.nominalVolt]));
  volts.set(board.ground, 0);
  const pins: ViewPin[] = [];
  const pinsOfNet = new Map<string, ViewPin[]>();
  const pinCounts = new Map<string, number>();
  const conductors = new Map<string, Conductor[]>();
  for (const part of board.parts) {
    for (const net of Object.values(part.pins)) pinCounts.set(net, (pinCounts.get(net) ?? 0) + 1);
    const type = types.get(part.type);
    if (type === undefined) continue;
    for (const pin of pinsOfPart(part, type)) {
      pins.push(pin);
      if (pin.net !== undefined) append(pinsOfNet, pin.net, pin);
    }
    for (const { from, to, through } of passiveLinks(part, type)) {
      append(conductors, from, { to, through });
      append(conductors, to, { to: from, through });
    }
  }
  return {
    board,
    types,
    pins,
    pinsOfNet,
    pinCounts,
    conductors,
    isSupply: (net) => volts.has(net),
    voltOf: (net) => volts.get(net),
  };
}

/** `U7.12`. */
export function pinPlace(pin: ViewPin): string {
  return `${pin.part.ref}.${pin.number}`;
}

/** `U7.12 (/CAS)`; without the name where it says nothing. */
export function describePin(pin: ViewPin): string {
  return pin.name === pin.number ? pinPlace(pin) : `${pinPlace(pin)} (${pin.name})`;
}

/** Up to four pins by name, and how many more there are. */
export function describePins(pins: readonly ViewPin[]): string {
  const shown = pins.slice(0, 4).map(describePin).join(", ");
  return pins.length > 4 ? `${shown} and ${pins.length - 4} more` : shown;
}

/** True for integrated circuits: parts that take supply and are not mere supply parts or single semiconductors. */
export function isChip(type: PartType): boolean {
  if (type.technology === "discrete" || type.technology === "mechanical") return false;
  if (type.behaviour.kind === "plain" || type.behaviour.kind === "supply") return false;
  return type.pins !== "as-board" && type.pins.some((pin) => pin.kind === "power");
}

function append<K, V>(map: Map<K, V[]>, key: K, value: V): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}

function pinsOfPart(part: BoardPart, type: PartType): ViewPin[] {
  if (type.pins === "as-board") {
    return Object.entries(part.pins).map(([number, net]) => ({
      part,
      type,
      number,
      name: number,
      kind: "passive",
      net,
    }));
  }
  return type.pins.map(({ number, name, kind }) => {
    const net = Object.hasOwn(part.pins, number) ? part.pins[number] : undefined;
    return { part, type, number, name, kind, ...(net === undefined ? {} : { net }) };
  });
}
