import type { PartType } from "../part-type.js";
import { muxTypes } from "./address-mux.js";
import type { Blocks, RamBlock } from "./blocks.js";
import { usualType } from "./complete.js";
import { isDynamic, memoryBehaviour } from "./memory.js";
import { givenRefs, type SketchData } from "./sketch.js";
import type { SketchTypes } from "./sketch-part.js";
import { isVideoProcessor } from "./video.js";

/** What in a block description cannot be sketched. */
export interface BlockFlaw {
  readonly code:
    | "unknown-type"
    | "wrong-type"
    | "duplicate-part"
    | "odd-memory"
    | "too-many"
    | "missing-block";
  readonly message: string;
  /** Field names and list positions that lead to it. */
  readonly path: readonly (string | number)[];
}

const mostRoms = 32;
const mostPorts = 8;

/** Everything that keeps a description from being sketched; empty if `sketchBoard` can take it. */
export function blockFlaws(blocks: Blocks, data: SketchData): BlockFlaw[] {
  const own = new Map(data.types.map((type) => [type.type, type]));
  const types: SketchTypes = { get: (name) => data.library.get(name) ?? own.get(name) };
  const typeOf = (name: string): PartType | undefined => types.get(usualType(name, types, data.usual));
  return [
    ...repeatedRefs(blocks),
    ...railFlaws(blocks),
    ...romFlaws(blocks, typeOf),
    ...blocks.ram.flatMap((block, i) => ramFlaws(blocks, block, ["ram", i], typeOf)),
    ...pictureFlaws(blocks, (name) => usualType(name, types, data.usual), typeOf),
    ...portFlaws(blocks, typeOf),
  ];
}

function repeatedRefs(blocks: Blocks): BlockFlaw[] {
  const refs = givenRefs(blocks);
  // Two blocks may name one custom chip, which has one reference.
  const custom = new Set([blocks.video.ref, ...blocks.custom.map(({ ref }) => ref)]);
  const repeated = refs.filter((ref, i) => refs.indexOf(ref) !== i && !custom.has(ref));
  return [...new Set(repeated)].map((ref) => ({
    code: "duplicate-part",
    message: `The reference ${ref} is given twice.`,
    path: [],
  }));
}

function railFlaws({ rails, clock, video }: Blocks): BlockFlaw[] {
  const flaws: BlockFlaw[] = [];
  const at = (code: BlockFlaw["code"], i: number, message: string): void => {
    flaws.push({ code, message, path: ["rails", i] });
  };
  rails.forEach(({ volt, from }, i) => {
    if (rails.findIndex((rail) => rail.volt === volt) !== i)
      at("too-many", i, `The rail of ${volt} V is given twice.`);
    if (volt === 5 && from === "converter")
      at(
        "missing-block",
        i,
        "A converter stage is fed from +5 V or from what feeds it, so it cannot make +5 V.",
      );
  });
  if (rails.filter(({ from }) => from === "converter").length > 2)
    at("too-many", 0, "One converter stage makes at most two rails.");
  if (clock.by === "video" && !(video.by === "custom" && video.also.includes("clock")))
    flaws.push({
      code: "missing-block",
      message: "A clock made by the video chip needs a custom video chip that also does the clock.",
      path: ["clock", "by"],
    });
  return flaws;
}

function romFlaws(blocks: Blocks, typeOf: (name: string) => PartType | undefined): BlockFlaw[] {
  const count = blocks.roms.reduce((sum, rom) => sum + rom.count, 0);
  const flaws = blocks.roms.flatMap(({ type }, i) => contentFlaws(type, "rom", ["roms", i, "type"], typeOf));
  if (count > mostRoms)
    flaws.push({
      code: "too-many",
      message: `${count} ROMs are given; at most ${mostRoms} have a place.`,
      path: ["roms"],
    });
  return flaws;
}

/** A type that is unknown, or no memory of that kind. */
function contentFlaws(
  name: string,
  content: "rom" | "ram",
  path: BlockFlaw["path"],
  typeOf: (name: string) => PartType | undefined,
): BlockFlaw[] {
  const type = typeOf(name);
  const what = content === "rom" ? "ROM" : "RAM";
  if (type === undefined)
    return [
      { code: "unknown-type", message: `No part type ${name} is known; give the number of a ${what}.`, path },
    ];
  if (type.behaviour.kind === "memory" && type.behaviour.content === content) return [];
  return [{ code: "wrong-type", message: `${name} is ${type.title.toLowerCase()}, not a ${what}.`, path }];
}

function ramFlaws(
  blocks: Blocks,
  block: RamBlock,
  path: (string | number)[],
  typeOf: (name: string) => PartType | undefined,
): BlockFlaw[] {
  const flaws = contentFlaws(block.type, "ram", [...path, "type"], typeOf);
  const type = typeOf(block.type);
  if (flaws.length > 0 || type === undefined) return flaws;
  const width = memoryBehaviour(type).data.length;
  const bits = block.chips * width;
  const odd = (message: string, ...more: string[]): void => {
    flaws.push({ code: "odd-memory", message, path: [...path, ...more] });
  };
  if (block.use === "colour" ? ![4, 8].includes(bits) : bits % 8 !== 0)
    odd(
      `${block.chips} chips of ${width} bit${width === 1 ? "" : "s"} make no whole ${block.use === "colour" ? "four or eight bits" : "bytes"}.`,
      "chips",
    );
  if (
    block.bits !== undefined &&
    (block.bits.length !== block.chips || block.bits.some((own) => own.length !== width))
  )
    odd(
      `bits must give ${width} data bit${width === 1 ? "" : "s"} for each of the ${block.chips} chips.`,
      "bits",
    );
  const own = blocks.video.by === "controller" && isVideoProcessor(blocks.video.type);
  if (block.use !== "main" && isDynamic(type) !== (own && block.use === "screen"))
    odd(
      own
        ? `The memory of this video controller is dynamic; ${block.type} is not.`
        : `A ${block.use} memory is of static chips here; ${block.type} is dynamic. Give it as main memory.`,
      "type",
    );
  if (own && block.use === "screen" && bits !== 8)
    odd("This video controller takes one bank of eight bits.", "chips");
  return flaws;
}

function pictureFlaws(
  { video, addressing }: Blocks,
  usual: (name: string) => string,
  typeOf: (name: string) => PartType | undefined,
): BlockFlaw[] {
  const flaws: BlockFlaw[] = [];
  const { type = "6845" } = video;
  if (video.by === "controller" && !["6845", "9918A"].includes(usual(type)))
    flaws.push({
      code: "wrong-type",
      message: `${type} is no video controller that can be wired; give 6845 or 9918A, or call it custom.`,
      path: ["video", "type"],
    });
  if (video.characterRom !== undefined)
    flaws.push(...contentFlaws(video.characterRom, "rom", ["video", "characterRom"], typeOf));
  if (
    addressing.by === "multiplexers" &&
    addressing.type !== undefined &&
    !muxTypes.some((mux) => mux === addressing.type)
  )
    flaws.push({
      code: "wrong-type",
      message: `${addressing.type} is no address multiplexer; give one of ${muxTypes.join(", ")}.`,
      path: ["addressing", "type"],
    });
  return flaws;
}

function portFlaws(blocks: Blocks, typeOf: (name: string) => PartType | undefined): BlockFlaw[] {
  const separate = ["Z80", "8080", "8085"].includes(blocks.processor.type);
  const count =
    blocks.io.length +
    blocks.custom.filter(({ does }) => does.length === 0).length +
    (blocks.video.by === "controller" ? 1 : 0) +
    (blocks.sound?.by === "chip" ? 1 : 0) +
    (blocks.keyboard === undefined ? 0 : 1);
  const flaws: BlockFlaw[] = [];
  if (separate && count > mostPorts)
    flaws.push({
      code: "too-many",
      message: `${count} ports are asked for; at most ${mostPorts} have a place.`,
      path: ["io"],
    });
  const { type } = blocks.reset;
  if (type !== undefined && !["555", "556"].includes(type))
    flaws.push({
      code: "wrong-type",
      message: `${type} is no timer; give 555 or 556.`,
      path: ["reset", "type"],
    });
  for (const [i, { type: name }] of blocks.io.entries()) {
    const found = typeOf(name);
    if (found !== undefined && found.behaviour.kind !== "peripheral" && found.behaviour.kind !== "follows")
      flaws.push({
        code: "wrong-type",
        message: `${name} is ${found.title.toLowerCase()}, not a chip for ports.`,
        path: ["io", i, "type"],
      });
  }
  return flaws;
}
