import type { Section } from "../board.js";
import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import { fastClock } from "./clock.js";
import { ground, railNet, type SketchPhase } from "./sketch-part.js";
import type { WiringDuty } from "./usual.js";

/** The nets of the processor's bus, whatever the processor. */
export interface Bus {
  /** Low while memory is addressed. */
  readonly memory: string;
  /** Low while a port is addressed; undefined where ports lie among the memory. */
  readonly io: string | undefined;
  /** Low while a row strobe of dynamic memory is wanted. */
  readonly ramRequest: string;
  /** The processor refreshes dynamic memory. */
  readonly refreshes: boolean;
  /** It starts at address 0, so ROM lies low; else high. */
  readonly startsLow: boolean;
  /** Net by the duty of a pin on the bus, where such a net exists. */
  readonly nets: Readonly<Partial<Record<WiringDuty, string>>>;
}

const processorSection: Section = "processor";
const bits = (count: number): number[] => Array.from({ length: count }, (_, bit) => bit);
export const dataNets: readonly string[] = bits(8).map((bit) => `D${bit}`);
export const addressNets: readonly string[] = bits(16).map((bit) => `A${bit}`);
const same = (nets: readonly string[]): Record<string, string> =>
  Object.fromEntries(nets.map((net) => [net, net]));

/** Net of the clock a processor is fed with; undefined where it is made with a clock chip of its own. */
export function cpuClockNet(type: string): string | undefined {
  if (type === "8080") return undefined;
  return ["6502", "6510", "65C02"].includes(type) ? "PHI0" : "CPU CLK";
}

/** Wires the processor and what makes its bus. */
export function wireProcessor(builder: SketchBuilder, blocks: Blocks): Bus {
  switch (blocks.processor.type) {
    case "Z80":
      return wireZ80(builder, blocks);
    case "8080":
      return wire8080(builder, blocks);
    case "8085":
      return wire8085(builder, blocks);
    case "6809":
      return wire6809(builder, blocks);
    default:
      return wire6502(builder, blocks);
  }
}

const common = {
  read: "/RD",
  write: "/WR",
  reset: "/RESET",
  "reset-high": "RESET",
  high: railNet(5),
  low: ground,
};
const isTransfer = ({ cycle }: SketchPhase): boolean => !["idle", "none", "refresh"].includes(cycle);

function place(
  builder: SketchBuilder,
  blocks: Blocks,
  pins: Record<string, string | undefined>,
  held: readonly string[],
) {
  const { type, ref, socketed } = blocks.processor;
  builder.add({
    type,
    section: processorSection,
    ref,
    socketed,
    known: true,
    pins: { ...pins, ...same(held) },
  });
  for (const net of held) builder.pullUp(net, processorSection);
}

function wireZ80(builder: SketchBuilder, blocks: Blocks): Bus {
  const strobes = ["/MREQ", "/IORQ", "/RD", "/WR", "/M1", "/RFSH"];
  const pins = { ...same([...addressNets, ...dataNets, ...strobes]), CLK: "CPU CLK", "/RESET": "/RESET" };
  place(builder, blocks, pins, ["/INT", "/NMI", "/WAIT", "/BUSREQ"]);
  builder.gate("not", ["/RFSH"], "RFSH", "decoding");
  builder.gate("or", ["/MREQ", "RFSH"], "/MEM", "decoding");
  builder.gate("not", ["/M1"], "M1", "decoding");
  builder.gate("or", ["/IORQ", "M1"], "/IO", "decoding");
  return {
    memory: "/MEM",
    io: "/IO",
    ramRequest: "/MREQ",
    refreshes: true,
    startsLow: true,
    nets: {
      ...common,
      "read-write": "/WR",
      enable: "STROBE",
      clock: "CPU CLK",
      interrupt: "/INT",
      "io-request": "/IORQ",
    },
  };
}

/** Strobes of processors that have one read-write line and a clock that is high during the transfer. */
function wireReadWrite(builder: SketchBuilder, clock: string, interrupt: string): Bus {
  builder.gate("nand", ["RW", clock], "/RD", "decoding");
  builder.gate("not", ["RW"], "WRITE", "decoding");
  builder.gate("nand", ["WRITE", clock], "/WR", "decoding");
  builder.gate("not", [clock], "/MEM", "decoding");
  builder.level(clock, (phase) => (isTransfer(phase) ? "high" : "low"));
  return {
    memory: "/MEM",
    io: undefined,
    ramRequest: "/MEM",
    refreshes: false,
    startsLow: false,
    nets: { ...common, "read-write": "RW", enable: clock, clock, interrupt },
  };
}

function wire6502(builder: SketchBuilder, blocks: Blocks): Bus {
  const is6510 = blocks.processor.type === "6510";
  const pins = {
    ...same([...addressNets, ...dataNets]),
    "R_/W": "RW",
    PHI0_IN: "PHI0",
    PHI2_OUT: "PHI2",
    "/RES": "/RESET",
    ...(is6510 ? { P0: "BANK 0", P1: "BANK 1", P2: "BANK 2" } : { SO: railNet(5) }),
  };
  place(builder, blocks, pins, ["/IRQ", "/NMI", "RDY", ...(is6510 ? ["AEC"] : [])]);
  if (is6510) for (const net of ["BANK 0", "BANK 1", "BANK 2"]) builder.pullUp(net, processorSection);
  builder.level("PHI0", (phase) => (isTransfer(phase) ? "high" : "low"));
  return wireReadWrite(builder, "PHI2", "/IRQ");
}

function wire6809(builder: SketchBuilder, blocks: Blocks): Bus {
  const pins = {
    ...same([...addressNets, ...dataNets, "E", "/RESET"]),
    "R_/W": "RW",
    EXTAL: "CPU CLK",
    XTAL: ground,
  };
  place(builder, blocks, pins, ["/IRQ", "/FIRQ", "/NMI", "/HALT", "/DMA_BREQ", "MRDY"]);
  return wireReadWrite(builder, "E", "/IRQ");
}

function wire8080(builder: SketchBuilder, blocks: Blocks): Bus {
  const own = dataNets.map((net) => `P${net}`);
  const pins = {
    ...same([...addressNets, "PHI1", "PHI2", "DBIN", "HLDA", "READY"]),
    SYNC: "CPU SYNC",
    ...Object.fromEntries(dataNets.map((name, i) => [name, own[i]])),
    "/WR": "/CPU WR",
    RESET: "CPU RESET",
    HOLD: ground,
    INT: ground,
  };
  place(builder, blocks, pins, []);
  builder.add({
    type: "8224",
    section: "clock",
    pins: {
      ...same(["READY", "/STSTB", "PHI1", "PHI2"]),
      SYNC: "CPU SYNC",
      "/RESIN": "/RESET",
      RDYIN: railNet(5),
      RESET: "CPU RESET",
      PHI2_TTL: "CPU CLK",
      XTAL1: fastClock,
    },
  });
  builder.add({
    type: "8228",
    section: processorSection,
    pins: {
      ...same(["/STSTB", "HLDA", "DBIN", "/MEMR", "/MEMW", "/IOR", "/IOW"]),
      ...Object.fromEntries(dataNets.map((name, i) => [name, own[i]])),
      ...Object.fromEntries(dataNets.map((net, i) => [`DB${i}`, net])),
      "/WR": "/CPU WR",
      "/BUSEN": ground,
    },
  });
  builder.level("CPU RESET", () => "low");
  builder.level("READY", () => "high");
  const strobe = (net: string, ...cycles: string[]): void =>
    builder.level(net, ({ cycle }) => (cycles.includes(cycle) ? "low" : "high"));
  strobe("/MEMR", "fetch", "memory-read");
  strobe("/MEMW", "memory-write");
  strobe("/IOR", "io-read");
  strobe("/IOW", "io-write");
  builder.gate("and", ["/MEMR", "/IOR"], "/RD", "decoding");
  builder.gate("and", ["/MEMW", "/IOW"], "/WR", "decoding");
  builder.gate("and", ["/MEMR", "/MEMW"], "/MEM", "decoding");
  builder.gate("and", ["/IOR", "/IOW"], "/IO", "decoding");
  return {
    memory: "/MEM",
    io: "/IO",
    ramRequest: "/MEM",
    refreshes: false,
    startsLow: true,
    nets: { ...common, "read-write": "/WR", enable: "STROBE", clock: "CPU CLK", "io-request": "/IO" },
  };
}

function wire8085(builder: SketchBuilder, blocks: Blocks): Bus {
  const low = ["SID", "TRAP", "RST7.5", "RST6.5", "RST5.5", "INTR", "HOLD"];
  const pins = {
    ...same([...addressNets.slice(8), "/RD", "/WR", "ALE"]),
    ...Object.fromEntries(dataNets.map((net, i) => [`AD${i}`, net])),
    ...Object.fromEntries(low.map((name) => [name, ground])),
    "IO_/M": "IO M",
    X1: "CPU CLK",
    "/RESET_IN": "/RESET",
  };
  place(builder, blocks, pins, ["READY"]);
  builder.addressLines = 8;
  builder.add({
    type: "74LS373",
    section: processorSection,
    // Addresses pass while the strobe is high, between two transfers.
    samplesIn: ["idle"],
    pins: {
      "/OC": ground,
      G: "ALE",
      ...Object.fromEntries(dataNets.map((net, i) => [`${i + 1}D`, net])),
      ...Object.fromEntries(addressNets.slice(0, 8).map((net, i) => [`${i + 1}Q`, net])),
    },
  });
  for (const [bit, net] of addressNets.slice(0, 8).entries()) {
    builder.level(net, ({ address }) => {
      const symbol = address?.[15 - bit];
      return symbol === "0" ? "low" : symbol === "1" ? "high" : "pulsing";
    });
  }
  builder.gate("and", ["/RD", "/WR"], "/STROBE", "decoding");
  builder.gate("or", ["IO M", "/STROBE"], "/MEM", "decoding");
  builder.gate("not", ["IO M"], "M IO", "decoding");
  builder.gate("or", ["M IO", "/STROBE"], "/IO", "decoding");
  return {
    memory: "/MEM",
    io: "/IO",
    ramRequest: "/MEM",
    refreshes: false,
    startsLow: true,
    nets: { ...common, "read-write": "/WR", enable: "STROBE", clock: "CPU CLK", "io-request": "/IO" },
  };
}
