import { type Expression, expressionPins } from "../expression.js";
import { netOfPin, pinNumber, type TypedPart } from "./net-levels.js";

/** Chips that answer together on a bus: a memory chip, a row of one-bit ones, or a peripheral. */
export interface BusTarget {
  readonly kind: "ram" | "rom" | "peripheral";
  /** In the order of the data bits where that is known, else of the board. */
  readonly chips: readonly TargetChip[];
  /** Nets the target puts data on. */
  readonly dataNets: ReadonlySet<string>;
  /** Expressions of the first chip; the others share its control nets. */
  readonly read: Expression | undefined;
  readonly write: Expression | undefined;
  /** Address strobes of dynamic memory, which are low during a transfer. */
  readonly strobes: readonly string[];
  /** Number of words. */
  readonly words: number;
}

/** A chip and the data bits it holds; no bits where its data nets have no place on a bus. */
export interface TargetChip {
  readonly typed: TypedPart;
  readonly bits: readonly number[];
}

const maximumBits = 16;

/**
 * Finds what answers on a data bus. With `bus` (nets of the processor's data lines, bit 0 first) only chips whose data
 * pins are on it count; without, bits come from the digits at the end of the data nets' names.
 */
export function findBusTargets(parts: readonly TypedPart[], bus: readonly string[] | undefined): BusTarget[] {
  const groups = new Map<string, { kind: BusTarget["kind"]; chips: TargetChip[] }>();
  const bitOfNet = new Map((bus ?? []).map((net, bit) => [net, bit]));
  for (const typed of parts) {
    const { behaviour } = typed.type;
    if (behaviour.kind !== "memory" && behaviour.kind !== "peripheral") continue;
    const nets = dataNetsOf(typed);
    if (nets === undefined) continue;
    const onBus = nets.map((net) => (bus === undefined ? numberAtEnd(net) : bitOfNet.get(net)));
    const bits = onBus.flatMap((bit) => (bit === undefined || bit >= maximumBits ? [] : [bit]));
    const complete = bits.length === nets.length && new Set(bits).size === bits.length;
    if (bus !== undefined && !complete) continue;
    const kind = behaviour.kind === "peripheral" ? "peripheral" : behaviour.content;
    const key = kind === "peripheral" ? typed.part.ref : `${typed.type.type} ${controlNets(typed).join(" ")}`;
    const group = groups.get(key);
    const chip = { typed, bits: complete ? bits : [] };
    if (group === undefined) groups.set(key, { kind, chips: [chip] });
    else group.chips.push(chip);
  }
  return [...groups.values()].map(({ kind, chips }) => target(kind, chips));
}

function target(kind: BusTarget["kind"], chips: readonly TargetChip[]): BusTarget {
  const ordered = [...chips].sort((a, b) => (a.bits[0] ?? maximumBits) - (b.bits[0] ?? maximumBits));
  const behaviour = ordered[0]?.typed.type.behaviour;
  const isMemory = behaviour?.kind === "memory";
  const lines = isMemory ? behaviour.address.length : 0;
  const strobes = isMemory ? (behaviour.strobes ?? []) : [];
  return {
    kind,
    chips: ordered,
    dataNets: new Set(ordered.flatMap(({ typed }) => dataNetsOf(typed) ?? [])),
    read: isMemory || behaviour?.kind === "peripheral" ? behaviour.read : undefined,
    write: isMemory || behaviour?.kind === "peripheral" ? behaviour.write : undefined,
    strobes,
    // A dynamic chip takes its address in two halves.
    words: 2 ** (strobes.length > 0 ? lines * 2 : lines),
  };
}

/** Nets of the pins a chip puts data out on, least significant first; undefined if one is open. */
function dataNetsOf({ part, type }: TypedPart): string[] | undefined {
  const { behaviour } = type;
  const names =
    behaviour.kind === "memory"
      ? behaviour.data.map((pin) => pin.out)
      : behaviour.kind === "peripheral"
        ? behaviour.data
        : [];
  const nets = names.flatMap((name) => {
    const number = pinNumber(type, name);
    const net = number === undefined ? undefined : netOfPin(part, number);
    return net === undefined ? [] : [net];
  });
  return nets.length === names.length && nets.length > 0 ? nets : undefined;
}

function controlNets({ part, type }: TypedPart): string[] {
  const { behaviour } = type;
  if (behaviour.kind !== "memory") return [];
  const names = new Set([
    ...expressionPins(behaviour.read),
    ...(behaviour.write === undefined ? [] : expressionPins(behaviour.write)),
    ...(behaviour.strobes ?? []),
  ]);
  return [...names].map((name) => netOfPin(part, pinNumber(type, name) ?? "") ?? "");
}

function numberAtEnd(net: string): number | undefined {
  const digits = /([0-9]{1,2})$/.exec(net)?.[1];
  return digits === undefined ? undefined : Number(digits);
}
