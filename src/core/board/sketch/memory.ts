import type { Section } from "../board.js";
import type { PartType } from "../part-type.js";
import type { RamBlock } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import { addressNets, dataNets } from "./processor.js";
import { ground, railNet } from "./sketch-part.js";

type MemoryBehaviour = Extract<PartType["behaviour"], { kind: "memory" }>;

/** The behaviour of a memory type; throws `RangeError` for other types. */
export function memoryBehaviour(type: PartType): MemoryBehaviour {
  if (type.behaviour.kind !== "memory") throw new RangeError(`${type.type} is no memory`);
  return type.behaviour;
}

/** True for a memory that is addressed in rows and columns. */
export function isDynamic(type: PartType): boolean {
  return memoryBehaviour(type).strobes !== undefined;
}

/** Words a memory chip holds. */
export function wordsOf(type: PartType): number {
  const { address, strobes } = memoryBehaviour(type);
  return 2 ** (address.length * (strobes === undefined ? 1 : 2));
}

/** Data bits of each chip of a block, in the order of the chips, and the bank it is in. */
export function chipBits(
  block: RamBlock,
  type: PartType,
): { readonly bank: number; readonly bits: number[] }[] {
  const width = memoryBehaviour(type).data.length;
  const perBank = Math.max(
    1,
    Math.ceil((block.use === "colour" ? Math.min(width * block.chips, 4) : 8) / width),
  );
  return Array.from({ length: block.chips }, (_, i) => ({
    bank: Math.floor(i / perBank),
    bits: [
      ...(block.bits?.[i] ?? Array.from({ length: width }, (_, bit) => ((i % perBank) * width + bit) % 8)),
    ],
  }));
}

/** How a static memory chip is wired: nets of its address, data, select, read and write. */
export interface StaticNets {
  readonly address: readonly string[];
  readonly data: readonly string[];
  readonly select: string;
  /** Low while the outputs may drive. */
  readonly read: string;
  /** Low while it is written; undefined for a ROM. */
  readonly write?: string;
}

/** Nets by pin name of a ROM or static RAM whose data pins carry the given bits. */
export function staticPins(
  type: PartType,
  bits: readonly number[],
  nets: StaticNets,
): Record<string, string> {
  const { address, data } = memoryBehaviour(type);
  const pins: Record<string, string> = {};
  for (const [line, pin] of address.entries()) pins[pin] = nets.address[line] ?? ground;
  for (const [i, pin] of data.entries()) {
    const net = nets.data[bits[i] ?? i] ?? ground;
    pins[pin.out] = net;
    if (pin.in !== undefined) pins[pin.in] = net;
  }
  if (type.pins === "as-board") return pins;
  for (const { name, kind } of type.pins) {
    if (kind !== "in" || pins[name] !== undefined) continue;
    pins[name] = controlNet(name, nets);
  }
  return pins;
}

function controlNet(name: string, nets: StaticNets): string {
  if (/^\/OE/.test(name)) return nets.read;
  if (/^\/WE|^\/WR|^R_\/W/.test(name)) return nets.write ?? railNet(5);
  if (/^\/(CE|CS|E)/.test(name)) return nets.select;
  // Programming pins and selects that are active high are tied.
  return railNet(5);
}

/** True if a chip has a pin of its own that lets its outputs drive. */
export function hasOutputEnable(type: PartType): boolean {
  return type.pins !== "as-board" && type.pins.some(({ name }) => name.startsWith("/OE"));
}

/** A static memory chip on the processor's bus; a ROM without output enable is selected for reading only. */
export function romPins(
  builder: SketchBuilder,
  type: PartType,
  select: string,
  section: Section,
): Record<string, string> {
  const chosen = hasOutputEnable(type)
    ? select
    : builder.gate("or", [select, "/RD"], `${select} READ`, section);
  return staticPins(type, [], { address: addressNets, data: dataNets, select: chosen, read: "/RD" });
}

/** Nets of a dynamic memory. */
export interface DynamicNets {
  readonly address: readonly string[];
  readonly rowStrobe: string;
  readonly columnStrobe: string;
  readonly write: string;
  readonly data: readonly string[];
  /** Data nets for writing, where they differ. */
  readonly dataIn?: readonly string[];
}

/** Nets by pin name of a dynamic RAM whose data pins carry the given bits. */
export function dynamicPins(
  type: PartType,
  bits: readonly number[],
  nets: DynamicNets,
): Record<string, string> {
  const { address, data } = memoryBehaviour(type);
  const pins: Record<string, string> = {
    "/RAS": nets.rowStrobe,
    "/CAS": nets.columnStrobe,
    "/WE": nets.write,
  };
  for (const [line, pin] of address.entries()) pins[pin] = nets.address[line] ?? ground;
  for (const [i, pin] of data.entries()) {
    const bit = bits[i] ?? i;
    pins[pin.out] = nets.data[bit] ?? ground;
    if (pin.in !== undefined) pins[pin.in] = (nets.dataIn ?? nets.data)[bit] ?? ground;
  }
  // Early write: the outputs may be enabled for good.
  if (type.pins !== "as-board" && type.pins.some(({ name }) => name === "/OE")) pins["/OE"] = ground;
  return pins;
}
