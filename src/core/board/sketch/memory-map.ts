import type { Expression } from "../expression.js";
import type { SketchBuilder } from "./builder.js";
import type { CustomChip } from "./custom-chip.js";
import type { Bus } from "./processor.js";
import { ground, railNet } from "./sketch-part.js";

/** Something that is addressed: a chip, a bank of chips, a port. */
export interface Device {
  readonly id: string;
  readonly kind: "ram" | "rom" | "screen" | "io";
  /** Bytes of address space it needs. */
  readonly size: number;
}

/** A device with its place in the map. */
export interface PlacedDevice extends Device {
  /** Net that is low while it is addressed. */
  readonly select: string;
  readonly space: "memory" | "io";
  readonly from: number;
  readonly to: number;
  /** Address lines while it is addressed, most significant first. */
  readonly pattern: string;
}

const blockSize = 0x2000;
const blockCount = 8;
const slotSize = 0x400;
const portSize = 0x20;

interface Span {
  readonly device: Device;
  /** Blocks of 8 KiB it fills; one if it lies in slots of a shared block. */
  readonly blocks: readonly number[];
  /** First slot of 1 KiB and number of slots in the block, if it shares one. */
  readonly slots?: { readonly first: number; readonly count: number };
}

/**
 * Lays devices out in 64 KiB and wires the decoding: blocks of 8 KiB from the upper three address lines, slots of 1 KiB
 * within a block that several small devices share, ports of 32 where the processor has a space of its own for them. ROM
 * lies where the processor starts, RAM at the other end, small things between.
 */
export function placeDevices(
  builder: SketchBuilder,
  bus: Bus,
  devices: {
    readonly roms: readonly Device[];
    readonly rams: readonly Device[];
    readonly small: readonly Device[];
  },
  chip: CustomChip | undefined,
): PlacedDevice[] {
  const ported = bus.io === undefined ? [] : devices.small.filter(({ kind }) => kind === "io");
  const shared = devices.small.filter((device) => !ported.includes(device));
  const spans = arrange(bus.startsLow, devices.roms, devices.rams, shared);
  const placed = spans.map((span) => placedSpan(span));
  wireBlocks(builder, bus, spans, chip);
  return [...placed, ...wirePorts(builder, bus, ported)];
}

const selectOf = (device: Device): string => `/${device.id.toUpperCase()} SEL`;

function arrange(
  startsLow: boolean,
  roms: readonly Device[],
  rams: readonly Device[],
  shared: readonly Device[],
): Span[] {
  const sharedSlots = shared.map(({ size }) => Math.max(1, Math.ceil(size / slotSize)));
  const sharedBlocks = Math.ceil(sharedSlots.reduce((sum, count) => sum + count, 0) / 8);
  const romBlocks = Math.min(4, blocksOf(roms));
  const ramBlocks = Math.min(blockCount - romBlocks - sharedBlocks, blocksOf(rams));
  // Counted from the end where the processor starts.
  const at = (position: number): number => (startsLow ? position : blockCount - 1 - position);
  return [
    ...fill(roms, romBlocks, at),
    ...slotted(shared, sharedSlots, (n) => at(romBlocks + n)),
    ...fill(rams, ramBlocks, (n) => at(blockCount - 1 - n)),
  ];
}

function blocksOf(devices: readonly Device[]): number {
  return Math.ceil(devices.reduce((sum, { size }) => sum + size, 0) / blockSize);
}

/** Devices over a number of blocks: whole blocks where there are enough, else slots of equal size. */
function fill(devices: readonly Device[], blocks: number, at: (position: number) => number): Span[] {
  if (devices.length === 0) return [];
  if (devices.length <= blocks) {
    const each = Math.floor(blocks / devices.length);
    return devices.map((device, i) => ({
      device,
      blocks: Array.from({ length: i === 0 ? each + (blocks - each * devices.length) : each }, (_, n) =>
        at(i === 0 ? n : blocks - each * (devices.length - i) + n),
      ).sort((a, b) => a - b),
    }));
  }
  const perBlock = 2 ** Math.ceil(Math.log2(devices.length / blocks));
  return devices.map((device, i) => ({
    device,
    blocks: [at(Math.floor(i / perBlock))],
    slots: { first: (i % perBlock) * (8 / perBlock), count: 8 / perBlock },
  }));
}

function slotted(
  devices: readonly Device[],
  counts: readonly number[],
  at: (block: number) => number,
): Span[] {
  let next = 0;
  return devices.map((device, i) => {
    // Slots of a device begin at a multiple of their number, so that its address lines decode it.
    const count = 2 ** Math.ceil(Math.log2(counts[i] ?? 1));
    next = Math.ceil(next / count) * count;
    const span = { device, blocks: [at(Math.floor(next / 8))], slots: { first: next % 8, count } };
    next += count;
    return span;
  });
}

function placedSpan({ device, blocks, slots }: Span): PlacedDevice {
  const first = Math.min(...blocks) * blockSize + (slots?.first ?? 0) * slotSize;
  const length = slots === undefined ? blocks.length * blockSize : slots.count * slotSize;
  const [block = 0] = blocks;
  const fixed = slots === undefined ? 3 : 6 - Math.log2(slots.count);
  const start = block * blockSize + (slots?.first ?? 0) * slotSize;
  return {
    ...device,
    select: selectOf(device),
    space: "memory",
    from: first,
    to: first + length - 1,
    pattern: start.toString(2).padStart(16, "0").slice(0, fixed).padEnd(16, "x"),
  };
}

function wireBlocks(
  builder: SketchBuilder,
  bus: Bus,
  spans: readonly Span[],
  chip: CustomChip | undefined,
): void {
  const whole = spans.filter((span) => span.slots === undefined);
  const slotBlocks = [
    ...new Set(spans.filter((span) => span.slots !== undefined).flatMap((span) => span.blocks)),
  ];
  const blockNet = (block: number): string => `/BLOCK ${block}`;
  if (chip === undefined) {
    const used = new Set([...whole.flatMap((span) => span.blocks), ...slotBlocks]);
    const outputs = Object.fromEntries(
      [...used].map((block) => [`/Y${block}`, netOfBlock(whole, block) ?? blockNet(block)]),
    );
    builder.add({
      type: "74LS138",
      section: "decoding",
      pins: { A: "A13", B: "A14", C: "A15", "/G2A": bus.memory, "/G2B": ground, G1: railNet(5), ...outputs },
    });
    for (const span of whole) {
      if (span.blocks.length > 1)
        builder.gate("and", span.blocks.map(blockNet), selectOf(span.device), "decoding");
    }
  } else {
    const memory = chip.input(bus.memory);
    for (const span of whole)
      chip.output(selectOf(span.device), ["not", ["and", ["not", memory], anyBlock(chip, span.blocks)]]);
    for (const block of slotBlocks)
      chip.output(blockNet(block), ["not", ["and", ["not", memory], anyBlock(chip, [block])]]);
  }
  for (const block of slotBlocks)
    wireSlots(
      builder,
      blockNet(block),
      spans.filter((span) => span.slots !== undefined && span.blocks[0] === block),
    );
}

/** A select that is a block's own output, where a device fills just that block. */
function netOfBlock(whole: readonly Span[], block: number): string | undefined {
  const only = whole.find((span) => span.blocks.length === 1 && span.blocks[0] === block);
  return only === undefined ? undefined : selectOf(only.device);
}

function anyBlock(chip: CustomChip, blocks: readonly number[]): Expression {
  const [a13, a14, a15] = ["A13", "A14", "A15"].map((net) => chip.input(net)) as [string, string, string];
  const one = (block: number): Expression => {
    const line = (name: string, bit: number): Expression => ((block >> bit) & 1 ? name : ["not", name]);
    return ["and", line(a13, 0), line(a14, 1), line(a15, 2)];
  };
  const [first, ...others] = blocks.map(one);
  if (first === undefined) throw new RangeError("a device needs a block");
  return others.length === 0 ? first : ["or", first, ...others];
}

function wireSlots(builder: SketchBuilder, enable: string, spans: readonly Span[]): void {
  const outputs: Record<string, string> = {};
  for (const { device, slots } of spans) {
    const { first, count } = slots ?? { first: 0, count: 1 };
    const parts = Array.from({ length: count }, (_, n) => first + n);
    const select = selectOf(device);
    const nets = parts.map((slot) => (count === 1 ? select : `${select} SLOT ${slot}`));
    parts.forEach((slot, n) => {
      outputs[`/Y${slot}`] = nets[n] ?? select;
    });
    if (count > 1) builder.gate("and", nets, select, "decoding");
  }
  builder.add({
    type: "74LS138",
    section: "decoding",
    pins: { A: "A10", B: "A11", C: "A12", "/G2A": enable, "/G2B": ground, G1: railNet(5), ...outputs },
  });
}

function wirePorts(builder: SketchBuilder, bus: Bus, ports: readonly Device[]): PlacedDevice[] {
  if (ports.length === 0 || bus.io === undefined) return [];
  const outputs = Object.fromEntries(ports.map((port, i) => [`/Y${i}`, selectOf(port)]));
  builder.add({
    type: "74LS138",
    section: "decoding",
    pins: { A: "A5", B: "A6", C: "A7", "/G2A": bus.io, "/G2B": ground, G1: railNet(5), ...outputs },
  });
  return ports.map((port, i) => ({
    ...port,
    select: selectOf(port),
    space: "io",
    from: i * portSize,
    to: (i + 1) * portSize - 1,
    pattern: `${"x".repeat(8)}${i.toString(2).padStart(3, "0")}${"x".repeat(5)}`,
  }));
}

/** Joins a device's place to the board's memory map. */
export function mapRegion(
  builder: SketchBuilder,
  device: PlacedDevice,
  title: string,
  chips: readonly { readonly part: string; readonly bits: number[] }[],
): void {
  const hex = (value: number): string =>
    value
      .toString(16)
      .toUpperCase()
      .padStart(device.space === "io" ? 2 : 4, "0");
  builder.memory.push({
    id: device.id,
    title,
    kind: device.kind,
    from: hex(device.from),
    to: hex(device.to),
    space: device.space,
    chips: chips.map(({ part, bits }) => ({ part, bits })),
  });
}
