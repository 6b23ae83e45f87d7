import type { PictureChain } from "../board.js";
import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import { addBusChip } from "./bus-chip.js";
import type { ClockNets } from "./clock.js";
import type { CustomChip } from "./custom-chip.js";
import type { PictureShare } from "./main-memory.js";
import { chipBits, dynamicPins } from "./memory.js";
import type { PlacedDevice } from "./memory-map.js";
import { type Raster, wireCounters, wireDots, wireGenerator, wireVideoOutput } from "./picture.js";
import { type Bus, dataNets } from "./processor.js";
import { type ScreenMemory, wireScreenMemory } from "./screen-memory.js";
import { ground, railNet } from "./sketch-part.js";

/** What the picture needs to know of the rest of the machine. */
export interface VideoContext {
  readonly blocks: Blocks;
  readonly bus: Bus;
  readonly clock: ClockNets;
  readonly placed: ReadonlyMap<string, PlacedDevice>;
  readonly screens: readonly ScreenMemory[];
  /** Phases in which the picture fetches. */
  readonly fetches: readonly string[];
}

const numbered = (letter: string, count: number): string[] =>
  Array.from({ length: count }, (_, i) => `${letter}${i}`);

/** True for a controller with a memory of its own and a finished picture. */
export const isVideoProcessor = (type: string | undefined): boolean => type === "9918A";

/** Nets by which the picture and the processor take turns with a main memory. */
export function shareOf(
  builder: SketchBuilder,
  blocks: Blocks,
  bus: Bus,
  clock: ClockNets,
  chip: CustomChip | undefined,
): PictureShare {
  const turn = "PICTURE TURN";
  const notTurn = "/PICTURE TURN";
  const phi = bus.nets.enable;
  if (bus.io === undefined && phi !== undefined && blocks.processor.type !== "6809") {
    // The processor leaves the first half of each clock to the picture.
    builder.gate("not", [phi], turn, "memory");
  } else {
    if (chip !== undefined) chip.follows(turn, chip.clock, []);
    else
      builder.add({
        type: "74LS74",
        section: "memory",
        pins: {
          "1D": clock.cell,
          "1CLK": clock.fast,
          "1Q": turn,
          "/1CLR": railNet(5),
          "/1PRE": railNet(5),
          "2D": ground,
          "2CLK": ground,
          "/2CLR": railNet(5),
          "/2PRE": railNet(5),
        },
      });
    builder.level(turn, (phase) => (phase.video ? "high" : "low"));
  }
  builder.gate("not", [turn], notTurn, "memory");
  const address = (): string[] => {
    if (chip === undefined) return rasterAddress(blocks);
    const lines = numbered("VA", 14);
    builder.once("picture address", () => {
      for (const net of lines) chip.follows(net, chip.clock, []);
    });
    return lines;
  };
  return { turn, notTurn, address, chip };
}

function rasterAddress(blocks: Blocks): string[] {
  if (blocks.video.by === "controller") return numbered("VA", 14);
  const hasCharacters = blocks.video.characterRom !== undefined;
  return [...numbered("C", 6).slice(0, 5), ...numbered("L", 9).slice(hasCharacters ? 3 : 0, 8)];
}

/** Wires the picture; sets the board's picture chain. */
export function wireVideo(
  builder: SketchBuilder,
  context: VideoContext,
  share: PictureShare | undefined,
  chip: CustomChip | undefined,
): void {
  const { blocks } = context;
  if (blocks.video.by === "none") return;
  if (blocks.video.by === "controller" && isVideoProcessor(blocks.video.type)) {
    wireVideoProcessor(builder, context);
    return;
  }
  if (blocks.video.by === "custom" && chip !== undefined) {
    wireCustomVideo(builder, context, share, chip);
    return;
  }
  wireDotVideo(builder, context);
}

function pictureMemories(builder: SketchBuilder, screens: readonly ScreenMemory[]): string[] {
  const own = screens.find(({ block }) => block.use === "screen");
  if (own !== undefined) return [own.device.id];
  return builder.memory
    .filter(({ kind }) => kind === "ram")
    .map(({ id }) => id)
    .slice(0, 1);
}

/** Data nets of the screen memories; the processor's own where the main memory is shown. */
function wireScreens(
  builder: SketchBuilder,
  context: VideoContext,
  address: readonly string[],
): { fetched: readonly string[]; colours: readonly string[]; select: string | undefined } {
  let fetched: readonly string[] = dataNets;
  const colours: string[] = [];
  let select: string | undefined;
  for (const [i, screen] of context.screens.entries()) {
    const place = context.placed.get(screen.device.id);
    if (place === undefined) continue;
    const isFirst = screen.block.use === "screen" && select === undefined;
    const data = wireScreenMemory(builder, screen, place, isFirst ? "VD" : `VC${i}-`, address);
    if (isFirst) {
      fetched = data;
      select = place.select;
    } else colours.push(...data);
  }
  return { fetched, colours, select };
}

function wireDotVideo(builder: SketchBuilder, context: VideoContext): void {
  const { blocks, clock, screens, fetches } = context;
  const isController = blocks.video.by === "controller";
  const raster = isController
    ? wireController(builder, context)
    : wireCounters(builder, clock, blocks.video.characterRom !== undefined);
  const { fetched } = wireScreens(builder, context, raster.address);
  const dots = wireDots(builder, blocks, { clock, raster, fetched, samplesIn: fetches });
  wireVideoOutput(builder, blocks, "PIXEL", "/SYNC");
  const picture: PictureChain = {
    sync: [...raster.sync],
    border: [...raster.border],
    ...dots,
    output: ["VIDEO"],
    memory: pictureMemories(builder, screens),
    needsProgram: isController,
  };
  builder.chain.picture = picture;
}

/** A 6845: addresses and sync, set up by the program. */
function wireController(builder: SketchBuilder, { blocks, bus, clock, placed }: VideoContext): Raster {
  const address = numbered("VA", 14);
  const pins: Record<string, string> = { CLK: clock.cell, HS: "LINE SYNC", VS: "FRAME SYNC", DE: "SHOW" };
  address.forEach((net, i) => {
    pins[`MA${i}`] = net;
  });
  // Lines within a character that nothing listens to stay open.
  const lines = blocks.video.characterRom === undefined ? [] : numbered("VL", 3);
  lines.forEach((net, i) => {
    pins[`RA${i}`] = net;
  });
  const { type = "6845", ref, socketed } = blocks.video;
  const select = placed.get("video")?.select ?? "";
  addBusChip(builder, bus, { type, section: "video", select, ref, socketed, pins, known: true });
  builder.gate("xor", ["LINE SYNC", "FRAME SYNC"], "SYNC", "video");
  builder.gate("not", ["SYNC"], "/SYNC", "video");
  return {
    address,
    line: lines,
    sync: ["LINE SYNC", "FRAME SYNC", "SYNC", "/SYNC"],
    show: "SHOW",
    border: ["SHOW"],
  };
}

/** A 9918A with its own dynamic memory. */
function wireVideoProcessor(builder: SketchBuilder, { blocks, bus, placed }: VideoContext): void {
  const { type = "9918A", ref, socketed } = blocks.video;
  const out = numbered("VAD", 8);
  const back = numbered("VRD", 8);
  const pins: Record<string, string> = {
    "/RAS": "/VRAS",
    "/CAS": "/VCAS",
    "R_/W": "/VWE",
    COMVID: "PICTURE",
    XTAL1: "VIDEO XTAL A",
    XTAL2: "VIDEO XTAL B",
  };
  // Bit 0 of this chip is the most significant one.
  for (let bit = 0; bit < 8; bit += 1) {
    pins[`AD${bit}`] = out[7 - bit] ?? ground;
    pins[`RD${bit}`] = back[7 - bit] ?? ground;
  }
  const crystal = { "1": "VIDEO XTAL A", "2": "VIDEO XTAL B" };
  builder.add({
    type: "crystal",
    letter: "X",
    section: "video",
    value: "10.738635 MHz",
    frequencyHertz: 10738635,
    pins: crystal,
  });
  const select = placed.get("video")?.select ?? "";
  addBusChip(builder, bus, { type, section: "video", select, ref, socketed, pins, known: true });
  const screen = blocks.ram.find(({ use }) => use === "screen");
  if (screen !== undefined) {
    const memory = builder.type(screen.type);
    for (const [i, { bits }] of chipBits(screen, memory).entries()) {
      const nets = {
        address: out,
        rowStrobe: "/VRAS",
        columnStrobe: "/VCAS",
        write: "/VWE",
        data: back,
        dataIn: out,
      };
      builder.add({
        type: memory,
        section: "video",
        ref: screen.refs?.[i],
        socketed: screen.socketed,
        known: true,
        pins: dynamicPins(memory, bits, nets),
      });
    }
  }
  builder.between("resistor", "R", "470", ["PICTURE", ground], "video");
  builder.add({
    type: "transistor-npn",
    letter: "Q",
    value: "BC547",
    section: "video",
    pins: { E: "VIDEO EMITTER", B: "PICTURE", C: railNet(5) },
  });
  builder.between("resistor", "R", "220", ["VIDEO EMITTER", ground], "video");
  builder.between("resistor", "R", "75", ["VIDEO EMITTER", "VIDEO"], "video");
  builder.between("connector", "J", "video socket", ["VIDEO", ground], "video");
  builder.chain.picture = {
    sync: ["PICTURE"],
    border: [],
    content: screen === undefined ? ["PICTURE"] : [...back, "/VRAS", "/VCAS"],
    output: ["VIDEO"],
    memory: builder.memory
      .filter(({ kind }) => kind === "ram")
      .map(({ id }) => id)
      .slice(0, 1),
    characterBits: screen === undefined ? [] : back,
    generator: [],
    needsProgram: true,
  };
}

/** A custom chip that fetches the picture and makes the signal. */
function wireCustomVideo(
  builder: SketchBuilder,
  context: VideoContext,
  share: PictureShare | undefined,
  chip: CustomChip,
): void {
  const { blocks, screens } = context;
  const hasOwn = screens.length > 0;
  const address = hasOwn && share === undefined ? numbered("VA", 14) : hasOwn ? (share?.address() ?? []) : [];
  if (hasOwn && share === undefined)
    for (const net of address.slice(0, 12)) chip.follows(net, chip.clock, []);
  const { fetched, colours, select } = wireScreens(builder, context, address.slice(0, 12));
  const turn = select ?? share?.turn;
  const lines = ["VL0", "VL1", "VL2"];
  const { characterRom } = blocks.video;
  if (characterRom !== undefined) for (const net of lines) chip.follows(net, chip.clock, []);
  const shapes =
    characterRom === undefined ? undefined : wireGenerator(builder, characterRom, [...lines, ...fetched]);
  const seen = [...(shapes?.rows ?? fetched), ...colours];
  chip.follows("DOTS", chip.clock, seen, turn === undefined ? {} : { while: turn });
  chip.follows("/SYNC", chip.clock, []);
  wireVideoOutput(builder, blocks, "DOTS", "/SYNC");
  builder.chain.picture = {
    sync: ["/SYNC"],
    border: [],
    content: ["DOTS"],
    output: ["VIDEO"],
    memory: pictureMemories(builder, screens),
    characterBits: [...fetched],
    generator: shapes === undefined ? [] : [shapes.ref],
    needsProgram: !blocks.video.also.includes("keyboard"),
  };
}
