import type { Section } from "../board.js";
import type { PartType } from "../part-type.js";
import type { SketchBuilder } from "./builder.js";
import { type Bus, dataNets } from "./processor.js";
import type { SketchPart } from "./sketch-part.js";
import type { ChipWiring, WiringDuty } from "./usual.js";

/** How a chip sits on the processor's bus. */
export interface BusChip {
  readonly type: string;
  readonly section: Section;
  /** Net that is low while it is addressed. */
  readonly select: string;
  readonly ref?: string | undefined;
  readonly socketed?: boolean | undefined;
  /** Nets of its other pins. */
  readonly pins?: Readonly<Record<string, string | undefined>>;
  readonly known?: boolean;
}

/** The usual wiring of a type, if data/sketch knows one. */
export function wiringOf(builder: SketchBuilder, type: string): ChipWiring | undefined {
  return builder.usual.chips.find((chip) => chip.type === type);
}

/** Adds a chip to the processor's bus: data and register pins by its type, the rest by its usual wiring. */
export function addBusChip(builder: SketchBuilder, bus: Bus, chip: BusChip): SketchPart {
  const type = builder.type(chip.type);
  const wiring = wiringOf(builder, chip.type);
  if (wiring === undefined) throw new RangeError(`no usual wiring of ${chip.type} is known`);
  const pins: Record<string, string | undefined> = {};
  for (const [pin, duty] of Object.entries(wiring.pins)) pins[pin] = netOfDuty(builder, bus, chip, duty);
  const { ref, socketed, section, known } = chip;
  return builder.add({
    type: chip.type,
    section,
    ref,
    socketed,
    ...(known === undefined ? {} : { known }),
    pins: { ...pinsOfBehaviour(type), ...pins, ...chip.pins },
  });
}

function pinsOfBehaviour(type: PartType): Record<string, string> {
  const { behaviour } = type;
  if (behaviour.kind !== "peripheral") return {};
  const pins: Record<string, string> = {};
  for (const [bit, pin] of behaviour.data.entries()) pins[pin] = dataNets[bit] ?? "D0";
  for (const [line, pin] of behaviour.registers.entries()) pins[pin] = `A${line}`;
  return pins;
}

function netOfDuty(builder: SketchBuilder, bus: Bus, chip: BusChip, duty: WiringDuty): string | undefined {
  const { select, section } = chip;
  const gated = (what: "read" | "write"): string => `${select} ${what}`;
  switch (duty) {
    case "select":
      return select;
    case "read-select":
    case "write-select": {
      const what = duty === "read-select" ? "read" : "write";
      return builder.gate("or", [select, bus.nets[what] ?? select], gated(what), section);
    }
    case "read-strobe":
    case "write-strobe": {
      const what = duty === "read-strobe" ? "read" : "write";
      return builder.gate("nor", [select, bus.nets[what] ?? select], gated(what), section);
    }
    case "enable":
      return enableNet(builder, bus);
    case "interrupt":
      return bus.nets.interrupt;
    case "io-request":
      return bus.nets["io-request"] ?? select;
    case "line-in":
    case "line-out":
      return `${select} ${duty}`;
    default:
      return duty.startsWith("D") ? duty : bus.nets[duty];
  }
}

/** High during a transfer: the processor's clock, or one gate for the strobes of processors that have two. */
function enableNet(builder: SketchBuilder, bus: Bus): string {
  const net = bus.nets.enable ?? "STROBE";
  if (net === "STROBE")
    builder.once("STROBE", () => builder.gate("nand", ["/RD", "/WR"], "STROBE", "decoding"));
  return net;
}
