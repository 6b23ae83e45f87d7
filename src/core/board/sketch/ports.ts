import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import { addBusChip, wiringOf } from "./bus-chip.js";
import type { CustomChip } from "./custom-chip.js";
import type { PlacedDevice } from "./memory-map.js";
import { type Bus, dataNets } from "./processor.js";
import { ground, railNet } from "./sketch-part.js";

/**
 * Lines by which the machine senses and drives what is outside the bus. They are asked for by the keyboard, the sound and
 * the tape, and end at a port chip, a custom chip, or a latch and a buffer.
 */
export interface Ports {
  /** A line the machine drives. */
  out(net: string): void;
  /** A line the machine reads. */
  sense(net: string): void;
}

/** Lines that were asked for, until the chip they end at is added. */
export class PortLines implements Ports {
  readonly driven: string[] = [];
  readonly sensed: string[] = [];
  out(net: string): void {
    this.driven.push(net);
  }
  sense(net: string): void {
    this.sensed.push(net);
  }
}

/** True for a type with two ports of eight lines that go either way. */
export function hasPorts(builder: SketchBuilder, type: string): boolean {
  const found = builder.types.get(type);
  if (wiringOf(builder, type) === undefined || found?.behaviour.kind !== "peripheral") return false;
  const { outputs } = found.behaviour;
  return outputs.includes("PA7") && outputs.includes("PB7");
}

/** Pins of a port chip: what is sensed on port A and from the top of port B, what is driven from the bottom of port B. */
export function portPins({ driven, sensed }: PortLines): Record<string, string> {
  const pins: Record<string, string> = {};
  sensed.forEach((net, i) => {
    pins[i < 8 ? `PA${i}` : `PB${15 - i}`] = net;
  });
  driven.forEach((net, i) => {
    pins[`PB${i}`] = net;
  });
  return pins;
}

/** A latch and buffers for machines without a port chip. */
export function wirePlainPort(
  builder: SketchBuilder,
  bus: Bus,
  place: PlacedDevice,
  lines: PortLines,
  written: string,
): void {
  const { select } = place;
  const { driven, sensed } = lines;
  if (driven.length > 0) {
    const strobe = builder.gate("or", [select, bus.nets.write ?? "/WR"], `${select} WRITE`, "io");
    const pins: Record<string, string> = { CLK: strobe, "/CLR": "/RESET" };
    for (let bit = 0; bit < 8; bit += 1) {
      const net = driven[bit];
      pins[`${bit + 1}D`] = dataNets[bit] ?? ground;
      if (net !== undefined) pins[`${bit + 1}Q`] = net;
    }
    builder.add({ type: "74LS273", section: "io", samplesIn: [written], pins });
  }
  for (let from = 0; from < sensed.length; from += 8) {
    const own = from === 0 ? select : `${select} HIGH`;
    if (from > 0) builder.gate("or", [select, "A0"], own, "io");
    const low =
      from === 0 && sensed.length > 8
        ? builder.gate("or", [select, builder.gate("not", ["A0"], "/A0", "io")], `${select} LOW`, "io")
        : own;
    const read = builder.gate("or", [low, bus.nets.read ?? "/RD"], `${own} READ`, "io");
    const pins: Record<string, string | undefined> = { "/1G": read, "/2G": read };
    for (let bit = 0; bit < 8; bit += 1) {
      const [unit, line] = [bit < 4 ? 1 : 2, (bit % 4) + 1];
      const net = sensed[from + bit];
      pins[`${unit}A${line}`] = net ?? railNet(5);
      pins[`${unit}Y${line}`] = dataNets[bit];
    }
    builder.add({ type: "74LS244", section: "io", pins });
  }
}

/** The duties of a custom chip: it drives lines itself and puts what it senses on the data bus. */
export function wireCustomPort(chip: CustomChip, bus: Bus, select: string, lines: PortLines): void {
  for (const net of lines.driven) chip.follows(net, chip.clock, []);
  if (lines.sensed.length === 0) return;
  const read = chip.input(bus.nets.read ?? "/RD");
  const chosen = chip.input(select);
  lines.sensed.slice(0, 8).forEach((net, bit) => {
    chip.output(dataNets[bit] ?? "D0", chip.input(net), ["and", ["not", chosen], ["not", read]]);
  });
}

/** Adds the chips of the description that sit on the bus; the first with ports gets the lines. */
export function wirePortChips(
  builder: SketchBuilder,
  blocks: Blocks,
  bus: Bus,
  placed: ReadonlyMap<string, PlacedDevice>,
  lines: PortLines,
  ownsLines: number,
): void {
  for (const [i, { type, ref, socketed }] of blocks.io.entries()) {
    const select = placed.get(`io-${i}`)?.select ?? "";
    const isLine = wiringOf(builder, type)?.pins;
    if (isLine === undefined) {
      wireUnknown(builder, bus, type, { ref, socketed, select });
      continue;
    }
    addBusChip(builder, bus, {
      type,
      section: Object.values(isLine).includes("line-in") ? "serial" : "io",
      select,
      ref,
      socketed,
      known: true,
      pins: i === ownsLines ? portPins(lines) : {},
    });
    if (Object.values(isLine).includes("line-in"))
      builder.between("connector", "J", "serial line", [`${select} line-in`, `${select} line-out`], "serial");
  }
}

/** A chip of which only the name is known: on the bus, and read back what it was told. */
export function wireUnknown(
  builder: SketchBuilder,
  bus: Bus,
  name: string,
  how: {
    readonly ref?: string | undefined;
    readonly socketed?: boolean | undefined;
    readonly select: string;
  },
): CustomChip {
  const chip = builder.custom(name, { ref: how.ref, section: "io", socketed: how.socketed });
  chip.known = true;
  const read = chip.input(bus.nets.read ?? "/RD");
  const select = chip.input(how.select);
  chip.input(bus.nets.write ?? "/WR");
  for (const line of ["A0", "A1", "A2", "A3", "/RESET"]) chip.input(line);
  for (const net of dataNets)
    chip.follows(net, bus.nets.clock ?? chip.clock, ["A0", "A1"], {
      enable: ["and", ["not", select], ["not", read]],
    });
  return chip;
}
