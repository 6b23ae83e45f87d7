import { describe, expect, it } from "vitest";
import { createRandom, type Random } from "../../src/core/base/random.js";
import { boardSchema } from "../../src/core/board/board.js";
import { checkBoard, unexplainedFindings } from "../../src/core/board/check/check-board.js";
import { partTypeFlaws } from "../../src/core/board/part-type-flaws.js";
import { parseBoardFile } from "../../src/core/board/read/board-file.js";
import { type BlocksInput, blocksSchema, sketchProcessors } from "../../src/core/board/sketch/blocks.js";
import { blockFlaws } from "../../src/core/board/sketch/flaws.js";
import { buildCircuit } from "../../src/core/find/settle/build.js";
import { viewMachine } from "../../src/core/find/table/chain.js";
import { blocksOf, installedSketchData, sketched } from "../support/sketch.js";
import { machines } from "./machines.js";

type Outside = Partial<Pick<BlocksInput, "keyboard" | "sound" | "tape">>;

/** What keeps a sketch from being a sound board; empty if all is well. */
function flawsOf(input: BlocksInput): string[] {
  const described = blockFlaws(blocksSchema.parse(input), installedSketchData());
  if (described.length > 0) return described.map(({ message }) => message);
  const { board, types, library } = sketched(input);
  const read = parseBoardFile(JSON.stringify(boardSchema.parse(board)), library);
  const findings = unexplainedFindings(checkBoard(board, library));
  const { engine, unexplained } = buildCircuit(board, library);
  const { whole, picture = "normal" } = viewMachine(engine);
  return [
    ...types.flatMap((type) => partTypeFlaws(type).map(({ message }) => `${type.type}: ${message}`)),
    ...read.problems.map(({ message }) => message),
    ...findings.map(({ message }) => message),
    ...unexplained.map(({ net, phase, reason }) => `${net} in ${phase}: ${reason}`),
    ...(whole === "works" && picture === "normal"
      ? []
      : [`the healthy machine ${whole}, picture ${picture}`]),
  ];
}

describe("sketches", () => {
  it.each(Object.entries(machines))("of %s are sound and settle healthy", (_, input) => {
    expect(flawsOf(input)).toEqual([]);
  });

  const memories: BlocksInput["ram"][] = [
    [{ type: "2102", chips: 8 }],
    [{ type: "2114", chips: 4 }],
    [{ type: "6264", chips: 3 }],
    [{ type: "4116", chips: 16 }],
    [{ type: "4164", chips: 8 }],
    [{ type: "4416", chips: 2 }],
    [
      { type: "4116", chips: 8 },
      { type: "4164", chips: 8 },
    ],
  ];
  const screens: BlocksInput["ram"][] = [
    [],
    [{ type: "2102", chips: 8, use: "screen" }],
    [{ type: "2114", chips: 4, use: "screen" }],
  ];
  const videos: BlocksInput["video"][] = [
    { by: "none" },
    { by: "discrete" },
    { by: "discrete", characterRom: "2716" },
    { by: "controller", characterRom: "2732" },
    { by: "custom", type: "video chip" },
    { by: "custom", type: "video chip", characterRom: "2716", output: "encoder" },
  ];
  const pick = <T>(list: readonly T[], random: Random): T => {
    const found = list[random.below(list.length)];
    if (found === undefined) throw new RangeError("nothing to pick from");
    return found;
  };

  it.each(sketchProcessors)("of a %s with each kind of memory are sound", (processor) => {
    for (const ram of memories)
      expect(flawsOf(blocksOf(processor, { ram })), JSON.stringify(ram)).toEqual([]);
  });

  it.each([...sketchProcessors.entries()])(
    "of processor %i, a %s, with blocks drawn at random are sound",
    (seed, processor) => {
      const random = createRandom(seed);
      for (let round = 0; round < 12; round += 1) {
        const video = pick(videos, random);
        const screen = video?.by === "none" ? [] : pick(screens, random);
        const input = blocksOf(processor, {
          roms: pick<BlocksInput["roms"]>(
            [
              [{ type: "2716", count: 3 }],
              [{ type: "2332", count: 2 }],
              [{ type: "27128", count: 1 }],
              [
                { type: "23256", count: 1 },
                { type: "2364", count: 2 },
              ],
            ],
            random,
          ),
          ram: [...pick(memories, random), ...screen],
          video,
          addressing: pick<BlocksInput["addressing"]>(
            [
              { by: "multiplexers" },
              { by: "multiplexers", type: "74LS257" },
              { by: "multiplexers", type: "74LS158" },
              { by: "controller" },
            ],
            random,
          ),
          decoding: pick<BlocksInput["decoding"]>(
            [{ by: "decoders" }, { by: "array" }, { by: "custom" }],
            random,
          ),
          clock: pick<BlocksInput["clock"]>([{ by: "crystal" }, { by: "module" }, { by: "chip" }], random),
          reset: pick<BlocksInput["reset"]>(
            [{ by: "gates" }, { by: "timer" }, { by: "timer", type: "556" }],
            random,
          ),
          io: pick<BlocksInput["io"]>(
            [
              [],
              [{ type: "6522" }],
              [{ type: "8255" }, { type: "6850" }],
              [{ type: "Z80-PIO" }],
              [{ type: "own chip" }],
            ],
            random,
          ),
          ...pick<Outside>([{}, { keyboard: {} }, { keyboard: { columns: 10, ribbon: false } }], random),
          ...pick<Outside>(
            [
              {},
              { sound: { by: "beeper" } },
              { sound: { by: "chip", type: "SN76489" } },
              { sound: { by: "chip", type: "own sound" } },
            ],
            random,
          ),
          ...pick<Outside>([{}, { tape: {} }, { tape: { motor: true } }], random),
          custom: pick<BlocksInput["custom"]>(
            [
              [],
              [{ name: "own custom chip" }],
              [{ name: "own custom chip", does: ["keyboard", "sound"] }],
              [
                { name: "own custom chip", does: ["tape"] },
                { name: "own clock chip", does: ["clock"] },
              ],
              [{ name: "own custom chip", does: ["addressing", "decoding", "clock"] }],
            ],
            random,
          ),
          buffers: pick<BlocksInput["buffers"]>(
            [[], [{ of: "data" }, { of: "address", type: "74LS367" }]],
            random,
          ),
        });
        expect(flawsOf(input), `seed ${seed}, round ${round}: ${JSON.stringify(input)}`).toEqual([]);
      }
    },
  );
});
