import { switchLines } from "./address-mux.js";
import type { RamBlock } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import { chipBits, memoryBehaviour, staticPins, wordsOf } from "./memory.js";
import { type Device, mapRegion, type PlacedDevice } from "./memory-map.js";
import { addressNets, dataNets } from "./processor.js";
import { ground, railNet } from "./sketch-part.js";

/** A memory the picture has for itself, which the processor reaches through multiplexers and a bus buffer. */
export interface ScreenMemory {
  readonly block: RamBlock;
  readonly device: Device;
}

/** The screen and colour memories of static chips, as devices of the memory map. */
export function screenMemories(builder: SketchBuilder, blocks: readonly RamBlock[]): ScreenMemory[] {
  return blocks
    .filter(({ use }) => use !== "main")
    .map((block, index) => {
      const type = builder.type(block.type);
      const banks = 1 + Math.max(...chipBits(block, type).map(({ bank }) => bank));
      const id = index === 0 ? block.use : `${block.use}-${index + 1}`;
      const size = Math.min(0x1000, wordsOf(type) * banks);
      return { block, device: { id, kind: block.use === "screen" ? "screen" : "ram", size } };
    });
}

const bankNets = 4;

/**
 * Wires a screen or colour memory: `letter` names its data nets (`VD0`), `picture` are the lines the picture addresses it
 * with. Returns the data nets.
 */
export function wireScreenMemory(
  builder: SketchBuilder,
  { block, device }: ScreenMemory,
  place: PlacedDevice,
  letter: string,
  picture: readonly string[],
): string[] {
  const type = builder.type(block.type);
  const chips = chipBits(block, type);
  const banks = 1 + Math.max(...chips.map(({ bank }) => bank));
  const { select } = place;
  const lines = memoryBehaviour(type).address.length;
  const extra = banks > 1 ? Math.ceil(Math.log2(Math.min(banks, bankNets))) : 0;
  const outputs = Array.from({ length: lines + extra }, (_, line) => `${letter}A${line}`);
  switchLines(builder, {
    type: "74LS157",
    outputs,
    low: addressNets,
    high: picture,
    select,
    section: "video",
  });
  const write = builder.gate("or", ["/WR", select], `/${letter} WE`, "video");
  const selects = banks > 1 ? wireBanks(builder, letter, outputs, lines, banks) : [ground];
  const width = block.use === "colour" ? memoryBehaviour(type).data.length * Math.min(chips.length, 2) : 8;
  const data = Array.from({ length: Math.min(8, width) }, (_, bit) => `${letter}${bit}`);
  const regionChips = chips.map(({ bank, bits }, i) => {
    const pins = staticPins(type, bits, {
      address: outputs,
      data,
      select: selects[bank] ?? ground,
      read: ground,
      write,
    });
    const part = builder.add({
      type,
      section: "video",
      ref: block.refs?.[i],
      socketed: block.socketed,
      known: true,
      pins,
    });
    return { part: part.ref, bits };
  });
  const buffer: Record<string, string | undefined> = { DIR: "/RD", "/G": select };
  data.forEach((net, bit) => {
    buffer[`A${bit + 1}`] = dataNets[bit];
    buffer[`B${bit + 1}`] = net;
  });
  builder.add({ type: "74LS245", section: "video", pins: buffer });
  mapRegion(builder, place, device.kind === "screen" ? "Screen memory" : "Colour memory", regionChips);
  return data;
}

function wireBanks(
  builder: SketchBuilder,
  letter: string,
  outputs: readonly string[],
  lines: number,
  banks: number,
): string[] {
  const selects = Array.from({ length: Math.min(banks, bankNets) }, (_, bank) => `/${letter} CS ${bank}`);
  const pins: Record<string, string> = {
    "/1G": ground,
    "1A": outputs[lines] ?? ground,
    "1B": outputs[lines + 1] ?? ground,
    "/2G": railNet(5),
    "2A": ground,
    "2B": ground,
  };
  selects.forEach((net, bank) => {
    pins[`/1Y${bank}`] = net;
  });
  builder.add({ type: "74LS139", section: "video", pins });
  return selects;
}
