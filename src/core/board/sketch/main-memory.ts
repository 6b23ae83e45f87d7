import type { PartType } from "../part-type.js";
import { addStages, multiplexRows, switchLines } from "./address-mux.js";
import type { Blocks, RamBlock } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import type { CustomChip } from "./custom-chip.js";
import { chipBits, dynamicPins, isDynamic, memoryBehaviour, staticPins, wordsOf } from "./memory.js";
import { type Device, mapRegion, type PlacedDevice } from "./memory-map.js";
import { addressNets, type Bus, dataNets } from "./processor.js";
import type { SketchPhase } from "./sketch-part.js";

/** A block of main memory with its type, and the devices its banks are. */
export interface MainMemory {
  readonly block: RamBlock;
  readonly type: PartType;
  readonly index: number;
  readonly devices: readonly Device[];
}

/** How the picture gets at the main memory. */
export interface PictureShare {
  /** High while the picture owns it. */
  readonly turn: string;
  readonly notTurn: string;
  /** Lines the picture addresses it with; a custom chip gets them when they are asked for. */
  readonly address: () => readonly string[];
  /** The custom chip that makes the picture, if one does. */
  readonly chip: CustomChip | undefined;
}

/** Lists the banks of the main memory as devices of the memory map. */
export function mainMemories(builder: SketchBuilder, blocks: Blocks): MainMemory[] {
  return blocks.ram
    .filter(({ use }) => use === "main")
    .map((block, index) => {
      const type = builder.type(block.type);
      const banks = 1 + Math.max(...chipBits(block, type).map(({ bank }) => bank));
      const devices = Array.from(
        { length: banks },
        (_, bank): Device => ({
          id: `ram-${index * 16 + bank}`,
          kind: "ram",
          size: wordsOf(type),
        }),
      );
      return { block, type, index, devices };
    });
}

/** What the main memory needs to know of the rest of the machine. */
export interface MainMemoryContext {
  readonly blocks: Blocks;
  readonly bus: Bus;
  readonly clock: string;
  readonly placed: ReadonlyMap<string, PlacedDevice>;
  /** Set for the first memory if the picture shares it. */
  readonly share: PictureShare | undefined;
  /** Makes rows, columns and strobes of dynamic memory, if no multiplexers do. */
  readonly controller: CustomChip | undefined;
}

/** Wires one block of main memory. */
export function wireMainMemory(builder: SketchBuilder, memory: MainMemory, context: MainMemoryContext): void {
  if (isDynamic(memory.type)) wireDynamic(builder, memory, context);
  else wireStatic(builder, memory, context);
}

function addChips(
  builder: SketchBuilder,
  { block, type, devices }: MainMemory,
  placed: ReadonlyMap<string, PlacedDevice>,
  pinsOf: (bank: number, bits: readonly number[]) => Record<string, string>,
): void {
  const chips = chipBits(block, type).map(({ bank, bits }, i) => {
    const { socketed } = block;
    const part = builder.add({
      type,
      section: "memory",
      ref: block.refs?.[i],
      socketed,
      known: true,
      pins: pinsOf(bank, bits),
    });
    return { part: part.ref, bits, bank };
  });
  devices.forEach((device, bank) => {
    const place = placed.get(device.id);
    if (place !== undefined)
      mapRegion(
        builder,
        place,
        `RAM, bank ${bank + 1}`,
        chips.filter((chip) => chip.bank === bank),
      );
  });
}

function selectOf({ devices }: MainMemory, bank: number, placed: ReadonlyMap<string, PlacedDevice>): string {
  const select = placed.get(devices[bank]?.id ?? "")?.select;
  if (select === undefined) throw new RangeError(`bank ${bank} has no place in the memory map`);
  return select;
}

function wireStatic(builder: SketchBuilder, memory: MainMemory, context: MainMemoryContext): void {
  const { placed, share } = context;
  const { type, devices, index } = memory;
  let address = addressNets;
  let read = "/RD";
  if (share !== undefined) {
    const lines = memoryBehaviour(type).address.map((_, line) => `RAM A${line}`);
    const high = share.address();
    switchLines(builder, { type: "74LS157", outputs: lines, low: addressNets, high, select: share.turn });
    address = lines;
    read = builder.gate("and", ["/RD", share.notTurn], "/RAM OE", "memory");
  }
  const selects = devices.map((_, bank) => {
    const select = selectOf(memory, bank, placed);
    return share !== undefined && bank === 0
      ? builder.gate("and", [select, share.notTurn], `/RAM CS ${index}`, "memory")
      : select;
  });
  addChips(builder, memory, placed, (bank, bits) =>
    staticPins(type, bits, { address, data: dataNets, select: selects[bank] ?? "", read, write: "/WR" }),
  );
}

function wireDynamic(builder: SketchBuilder, memory: MainMemory, context: MainMemoryContext): void {
  const { bus, placed, share, controller, blocks, clock } = context;
  const { type, devices, index } = memory;
  const letter = ["M", "N", "P", "Q"][index] ?? "M";
  const lines = memoryBehaviour(type).address.map((_, line) => `${letter}A${line}`);
  const suffix = index === 0 ? "" : ` ${letter}`;
  const row = `/RAS${suffix}`;
  const column = `MUX${suffix}`;
  const strobes = devices.map((_, bank) => `/CAS${suffix}${devices.length > 1 ? ` ${bank}` : ""}`);
  const selects = devices.map((_, bank) => selectOf(memory, bank, placed));
  const isActive = (phase: SketchPhase): boolean =>
    phase.video || ["fetch", "memory-read", "memory-write", "refresh"].includes(phase.cycle);
  const owned = (phase: SketchPhase): boolean => share !== undefined && phase.video;
  builder.level(row, (phase) => (isActive(phase) ? "low" : "high"));
  builder.level(column, (phase) => (isActive(phase) && phase.cycle !== "refresh" ? "high" : "low"));
  strobes.forEach((net, bank) => {
    const select = selects[bank] ?? "";
    builder.level(net, (phase) =>
      phase.selects.includes(select) || (bank === 0 && owned(phase)) ? "low" : "high",
    );
  });
  const request = share === undefined ? [bus.ramRequest] : [bus.ramRequest, share.notTurn];
  if (controller !== undefined && index === 0) {
    const picture = share === undefined || share.chip === controller ? [] : [share.turn, ...share.address()];
    lines.forEach((net, line) => {
      const own = [addressNets[line] ?? "A0", addressNets[line + lines.length] ?? "A0"];
      controller.follows(net, clock, [
        ...own,
        ...picture.filter((_, i) => i === 0 || (i - 1) % lines.length === line),
      ]);
    });
    controller.follows(row, clock, [bus.ramRequest]);
    for (const [bank, net] of strobes.entries()) controller.follows(net, clock, [selects[bank] ?? ""]);
  } else {
    const data = builder.anyOf(request, `/RAM REQUEST${suffix}`, "memory");
    const stages = strobes.map((q, bank) => {
      const select = selects[bank] ?? "";
      const own = share !== undefined && bank === 0 ? [select, share.notTurn] : [select];
      return { q, data: builder.anyOf(own, `${q} NEXT`, "memory") };
    });
    const first = { data, q: row, inverted: `RAS${suffix}` };
    addStages(builder, clock, [first, { data: `RAS${suffix}`, q: column }, ...stages]);
    wireRows(builder, lines, { blocks, share, column, index });
  }
  addChips(builder, memory, placed, (bank, bits) =>
    dynamicPins(type, bits, {
      address: lines,
      rowStrobe: row,
      columnStrobe: strobes[bank] ?? row,
      write: "/WR",
      data: dataNets,
    }),
  );
}

function wireRows(
  builder: SketchBuilder,
  lines: readonly string[],
  how: {
    readonly blocks: Blocks;
    readonly share: PictureShare | undefined;
    readonly column: string;
    readonly index: number;
  },
): void {
  const { blocks, share, column, index } = how;
  const { type: wanted, refs } = blocks.addressing;
  const own = index === 0 ? [...(refs ?? [])] : (refs ?? []).slice(Math.ceil((refs?.length ?? 0) / 2));
  const chip = share?.chip;
  // The picture's chip drives the address pins itself where the multiplexers can let go of them.
  if (share !== undefined && chip !== undefined && (wanted === "74LS257" || wanted === "74LS258")) {
    const low = addressNets.slice(0, lines.length);
    const high = addressNets.slice(lines.length, 2 * lines.length);
    switchLines(builder, {
      type: wanted,
      outputs: lines,
      low,
      high,
      select: column,
      enable: share.turn,
      refs: own,
    });
    const turn = chip.input(share.turn);
    for (const net of lines) chip.follows(net, chip.clock, [], { enable: turn });
    return;
  }
  const picture = share?.address();
  const type = wanted ?? (picture === undefined ? "74LS157" : "74LS153");
  const turn = share?.turn ?? "";
  multiplexRows(builder, type, lines, { processor: addressNets, picture, turn, column }, own);
}
