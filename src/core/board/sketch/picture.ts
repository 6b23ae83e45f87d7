import type { PictureChain } from "../board.js";
import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import type { ClockNets } from "./clock.js";
import { memoryBehaviour } from "./memory.js";
import { ground, railNet } from "./sketch-part.js";

/** Address and timing nets a picture is made with. */
export interface Raster {
  readonly address: readonly string[];
  /** Line within a character, least significant first. */
  readonly line: readonly string[];
  readonly sync: readonly string[];
  /** High while dots are shown. */
  readonly show: string;
  readonly border: readonly string[];
}

const numbered = (letter: string, count: number): string[] =>
  Array.from({ length: count }, (_, i) => `${letter}${i}`);

/** Counters of columns and lines, and the gates for blanking and sync. */
export function wireCounters(builder: SketchBuilder, clock: ClockNets, hasCharacters: boolean): Raster {
  const columns = numbered("C", 6);
  const lines = numbered("L", 9);
  const high = railNet(5);
  const counter = (
    clk: string,
    enable: string,
    outputs: readonly (string | undefined)[],
    carry?: string,
  ): void => {
    const pins: Record<string, string | undefined> = {
      CLK: clk,
      "/CLR": high,
      "/LOAD": high,
      ENP: high,
      ENT: enable,
    };
    for (const [i, pin] of ["A", "B", "C", "D"].entries()) {
      pins[pin] = ground;
      pins[`Q${pin}`] = outputs[i];
    }
    builder.add({ type: "74LS163", section: "video", pins: { ...pins, RCO: carry } });
  };
  counter(clock.cell, high, columns.slice(0, 4), "COLUMN CARRY");
  counter(clock.cell, "COLUMN CARRY", columns.slice(4));
  counter("C5", high, lines.slice(0, 4), "LINE CARRY 1");
  counter("C5", "LINE CARRY 1", lines.slice(4, 8), "LINE CARRY 2");
  counter("C5", "LINE CARRY 2", lines.slice(8));
  builder.gate("and", ["C5", "C4"], "LINE SYNC", "video");
  builder.gate("and", ["L8", "L5"], "FRAME SYNC", "video");
  builder.gate("xor", ["LINE SYNC", "FRAME SYNC"], "SYNC", "video");
  builder.gate("not", ["SYNC"], "/SYNC", "video");
  builder.gate("nor", ["C5", "L8"], "SHOW", "video");
  return {
    address: [...columns.slice(0, 5), ...lines.slice(hasCharacters ? 3 : 0, 8)],
    line: lines.slice(0, 3),
    sync: ["C4", "C5", "L5", "L8", "LINE SYNC", "FRAME SYNC", "SYNC", "/SYNC"],
    show: "SHOW",
    border: ["SHOW"],
  };
}

/** Latch, character generator, shift register: from the fetched byte to dots. */
export function wireDots(
  builder: SketchBuilder,
  blocks: Blocks,
  how: {
    readonly clock: ClockNets;
    readonly raster: Raster;
    /** Nets of the fetched byte, bit 0 first. */
    readonly fetched: readonly string[];
    readonly samplesIn: readonly string[];
  },
): Pick<PictureChain, "content" | "characterBits" | "generator"> {
  const { clock, raster, fetched, samplesIn } = how;
  const held = numbered("CH", 8);
  const latch: Record<string, string> = { CLK: clock.cellEnd, "/CLR": railNet(5) };
  for (const [bit, net] of held.entries()) {
    latch[`${bit + 1}D`] = fetched[bit] ?? ground;
    latch[`${bit + 1}Q`] = net;
  }
  builder.add({ type: "74LS273", section: "video", samplesIn, pins: latch });
  const { characterRom } = blocks.video;
  const shapes =
    characterRom === undefined
      ? undefined
      : wireGenerator(builder, characterRom, [...raster.line.slice(0, 3), ...held]);
  const rows = shapes?.rows ?? held;
  builder.gate("not", [clock.cellEnd], "/DOT LOAD", "video");
  const shift: Record<string, string> = {
    SER: ground,
    CLKINH: ground,
    CLK: clock.dot,
    "/CLR": railNet(5),
    "SH_/LD": "/DOT LOAD",
    QH: "DOTS",
  };
  for (const [i, pin] of ["A", "B", "C", "D", "E", "F", "G", "H"].entries()) shift[pin] = rows[i] ?? ground;
  builder.add({ type: "74LS166", section: "video", samplesIn, pins: shift });
  builder.gate("and", ["DOTS", raster.show], "PIXEL", "video");
  return {
    content: [
      ...fetched.filter((net) => net.startsWith("V")),
      ...held,
      ...rows.filter((net) => !held.includes(net)),
      "/DOT LOAD",
      "DOTS",
      "PIXEL",
    ],
    characterBits: held,
    generator: shapes === undefined ? [] : [shapes.ref],
  };
}

/** Adds a character generator that is always on; returns its data nets, most significant bit last. */
export function wireGenerator(
  builder: SketchBuilder,
  name: string,
  lines: readonly string[],
): { readonly rows: readonly string[]; readonly ref: string } {
  const rows = numbered("GD", 8);
  const type = builder.type(name);
  const { address, data } = memoryBehaviour(type);
  const pins: Record<string, string> = {};
  address.forEach((pin, i) => {
    pins[pin] = lines[i] ?? ground;
  });
  data.forEach(({ out }, i) => {
    pins[out] = rows[i] ?? ground;
  });
  if (type.pins !== "as-board")
    for (const { name: pin, kind } of type.pins)
      if (kind === "in" && pins[pin] === undefined)
        pins[pin] = /^\/(CE|CS|OE|E)/.test(pin) ? ground : railNet(5);
  return { rows, ref: builder.add({ type, section: "video", known: true, pins }).ref };
}

/** Mixes picture and sync and drives the socket, by a transistor or by an encoder fed from +12 V. */
export function wireVideoOutput(builder: SketchBuilder, blocks: Blocks, picture: string, sync: string): void {
  const { output } = blocks.video;
  const section = "video";
  builder.between("resistor", "R", "470", [picture, "MIX"], section);
  builder.between("resistor", "R", "1k", [sync, "MIX"], section);
  builder.between("resistor", "R", "1k", ["MIX", ground], section);
  const driven = output === "encoder" ? "LUMA" : "VIDEO";
  builder.add({
    type: "transistor-npn",
    letter: "Q",
    value: "BC547",
    section,
    pins: { E: "VIDEO EMITTER", B: "MIX", C: railNet(5) },
  });
  builder.between("resistor", "R", "220", ["VIDEO EMITTER", ground], section);
  builder.between("resistor", "R", "75", ["VIDEO EMITTER", driven], section);
  if (output === "encoder")
    builder.add({ type: "video-encoder", section, pins: { LUMA: "LUMA", COMPOSITE: "VIDEO" } });
  builder.between("connector", "J", "video socket", ["VIDEO", ground], section);
}
