import type { Board, Section } from "../board.js";
import type { PartType } from "../part-type.js";
import type { Blocks, CustomDuty } from "./blocks.js";
import { SketchBuilder } from "./builder.js";
import { wireClock, wireReset } from "./clock.js";
import { withUsualTypes } from "./complete.js";
import type { CustomChip } from "./custom-chip.js";
import { wireOutside } from "./edges.js";
import { finishBoard } from "./finish.js";
import { mainMemories, wireMainMemory } from "./main-memory.js";
import { romPins, wordsOf } from "./memory.js";
import { type Device, mapRegion, type PlacedDevice, placeDevices } from "./memory-map.js";
import { wireBuffers } from "./outside.js";
import { addPhases } from "./phases.js";
import { hasPorts, PortLines } from "./ports.js";
import { cpuClockNet, dataNets, wireProcessor } from "./processor.js";
import { type ScreenMemory, screenMemories } from "./screen-memory.js";
import type { SketchTypes } from "./sketch-part.js";
import { wireSupply } from "./supply.js";
import type { UsualWirings } from "./usual.js";
import { isVideoProcessor, shareOf, wireVideo } from "./video.js";

/** A board made from a block description, and the part types it needs besides the library. */
export interface Sketch {
  readonly board: Board;
  /** Types made for this board, and those of data/sketch it uses. */
  readonly types: readonly PartType[];
}

/** What a sketch is made with. */
export interface SketchData {
  /** The installed part types. */
  readonly library: SketchTypes;
  /** Types that only sketches use. */
  readonly types: readonly PartType[];
  readonly usual: UsualWirings;
}

/**
 * Wires the blocks of a machine in the usual way. Everything that the description does not name is marked as assumed:
 * parts by their `source`, pins by `assumedPins`. The description must have been checked by `blockFlaws`; a type that
 * cannot do what its block asks throws `RangeError`.
 */
export function sketchBoard(described: Blocks, data: SketchData): Sketch {
  const own = new Map(data.types.map((type) => [type.type, type]));
  const types: SketchTypes = { get: (name) => data.library.get(name) ?? own.get(name) };
  const blocks = withUsualTypes(described, types, data.usual);
  const builder = new SketchBuilder(types, data.usual, givenRefs(blocks));
  wireMachine(builder, blocks);
  const made = builder.finishChips();
  const used = new Set(builder.parts.map(({ type }) => type));
  return {
    board: finishBoard(builder, blocks),
    types: [...made, ...data.types.filter((type) => used.has(type))],
  };
}

/** Every reference a description gives. */
export function givenRefs(blocks: Blocks): string[] {
  const found: string[] = [];
  const collect = (value: unknown, key: string): void => {
    if (key === "ref" && typeof value === "string") found.push(value);
    else if (key === "refs" && Array.isArray(value))
      found.push(...value.filter((ref) => typeof ref === "string"));
    else if (typeof value === "object" && value !== null)
      for (const [name, inner] of Object.entries(value)) collect(inner, name);
  };
  collect(blocks, "");
  return found;
}

function wireMachine(builder: SketchBuilder, blocks: Blocks): void {
  const video =
    blocks.video.by === "custom"
      ? builder.custom(blocks.video.type ?? "video chip", { ...blocks.video, section: "video" })
      : undefined;
  if (video !== undefined) video.known = true;
  const dutyChip = (duty: CustomDuty): CustomChip | undefined => {
    if (blocks.video.also.includes(duty)) return video;
    const block = blocks.custom.find(({ does }) => does.includes(duty));
    if (block === undefined) return undefined;
    const chip = builder.custom(block.name, {
      ref: block.ref,
      socketed: block.socketed,
      section: sectionOf(duty),
    });
    chip.known = true;
    return chip;
  };
  wireSupply(builder, blocks);
  wireReset(builder, blocks);
  const cpuClock = cpuClockNet(blocks.processor.type);
  const clock = wireClock(builder, blocks, cpuClock, dutyChip("clock"));
  for (const chip of builder.customs) chip.clock = clock.fast;
  const bus = wireProcessor(builder, blocks);

  const mains = mainMemories(builder, blocks);
  const videoProcessor = blocks.video.by === "controller" && isVideoProcessor(blocks.video.type);
  const screens = videoProcessor ? [] : screenMemories(builder, blocks.ram);
  const roms = romDevices(builder, blocks);
  const lines = new PortLines();
  const small = smallDevices(builder, blocks, screens, dutyChip);
  const decoder = decodingChip(builder, blocks, dutyChip("decoding"));
  const placed = new Map(
    placeDevices(
      builder,
      bus,
      {
        roms: roms.map(({ device }) => device),
        rams: mains.flatMap(({ devices }) => devices),
        small: small.devices,
      },
      decoder,
    ).map((place): [string, PlacedDevice] => [place.id, place]),
  );
  const ownScreen = screens.some(({ block }) => block.use === "screen");
  const shares = blocks.video.by !== "none" && !videoProcessor && !ownScreen;
  const share = shares ? shareOf(builder, blocks, bus, clock, video) : undefined;
  const fetches = addPhases(builder, {
    blocks,
    bus,
    placed,
    roms: roms.map(({ device }) => device),
    mains,
    screens,
    small: small.devices,
    shares,
  });

  for (const { device, type, ref, socketed } of roms) {
    const place = placed.get(device.id);
    if (place === undefined) continue;
    const pins = romPins(builder, type, place.select, "memory");
    const part = builder.add({ type, section: "memory", ref, socketed, known: true, pins });
    mapRegion(builder, place, `ROM ${device.id.slice(4)}`, [
      { part: part.ref, bits: dataNets.map((_, bit) => bit) },
    ]);
  }
  const controller = dutyChip("addressing") ?? addressController(builder, blocks);
  for (const memory of mains) {
    const first = memory.index === 0;
    wireMainMemory(builder, memory, {
      blocks,
      bus,
      clock: clock.fast,
      placed,
      share: first ? share : undefined,
      controller: first ? controller : undefined,
    });
  }
  wireVideo(builder, { blocks, bus, clock, placed, screens, fetches }, share, video);
  wireOutside(builder, blocks, { bus, placed, lines, dutyChip, ownsLines: small.ownsLines });
  wireBuffers(builder, blocks);
  builder.chain.memoryFigure = blocks.memoryFigure;
}

interface RomChip {
  readonly device: Device;
  readonly type: PartType;
  readonly ref: string | undefined;
  readonly socketed: boolean | undefined;
}

function romDevices(builder: SketchBuilder, blocks: Blocks): RomChip[] {
  return blocks.roms
    .flatMap(({ type: name, count, refs = [], socketed }) => {
      const type = builder.type(name);
      return Array.from({ length: count }, (_, i) => ({ type, ref: refs[i], socketed }));
    })
    .map((chip, i) => ({
      ...chip,
      device: { id: `rom-${i}`, kind: "rom", size: wordsOf(chip.type) } as const,
    }));
}

function smallDevices(
  builder: SketchBuilder,
  blocks: Blocks,
  screens: readonly ScreenMemory[],
  dutyChip: (duty: CustomDuty) => CustomChip | undefined,
): { readonly devices: readonly Device[]; readonly ownsLines: number } {
  const io = (id: string): Device => ({ id, kind: "io", size: 0x400 });
  const ownsLines =
    dutyChip("keyboard") === undefined ? blocks.io.findIndex(({ type }) => hasPorts(builder, type)) : -1;
  const outside =
    blocks.keyboard ?? blocks.tape ?? (blocks.sound?.by === "beeper" ? blocks.sound : undefined);
  const devices = [
    ...screens.map(({ device }) => device),
    ...blocks.io.map((_, i) => io(`io-${i}`)),
    ...(blocks.video.by === "controller" ? [io("video")] : []),
    ...(blocks.sound?.by === "chip" && dutyChip("sound") === undefined ? [io("sound")] : []),
    ...(outside !== undefined && ownsLines < 0 ? [io("port")] : []),
    ...blocks.custom.flatMap(({ does }, i) => (does.length === 0 ? [io(`custom-${i}`)] : [])),
  ];
  return { devices, ownsLines };
}

function decodingChip(
  builder: SketchBuilder,
  blocks: Blocks,
  duty: CustomChip | undefined,
): CustomChip | undefined {
  if (duty !== undefined) return duty;
  const { by, type, ref, socketed } = blocks.decoding;
  if (by === "decoders") return undefined;
  const chip = builder.custom(type ?? (by === "array" ? "82S100" : "decoding chip"), {
    ref,
    socketed,
    section: "decoding",
  });
  chip.known = true;
  if (blocks.processor.type === "6510") for (const net of ["BANK 0", "BANK 1", "BANK 2"]) chip.input(net);
  return chip;
}

function addressController(builder: SketchBuilder, blocks: Blocks): CustomChip | undefined {
  const { by, type, refs } = blocks.addressing;
  if (by !== "controller") return undefined;
  const chip = builder.custom(type ?? "memory controller", { ref: refs?.[0], section: "memory" });
  chip.known = true;
  return chip;
}

function sectionOf(duty: CustomDuty): Section {
  const sections = {
    addressing: "memory",
    clock: "clock",
    decoding: "decoding",
    keyboard: "keyboard",
    sound: "sound",
    tape: "tape",
  } as const;
  return sections[duty];
}
