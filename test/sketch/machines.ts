import type { BlocksInput } from "../../src/core/board/sketch/blocks.js";
import { blocksOf } from "../support/sketch.js";

const threeRails: BlocksInput["rails"] = [
  { volt: 5, from: "regulator" },
  { volt: 12, from: "converter" },
  { volt: -5, from: "converter" },
];

/** Whole machines of several kinds, none of them a real one. */
export const machines: Readonly<Record<string, BlocksInput>> = {
  "a 6510 with logic array, custom video chip and colour memory": blocksOf("6510", {
    roms: [
      { type: "2364", count: 2 },
      { type: "2332", count: 1 },
    ],
    ram: [
      { type: "4164", chips: 8, refs: ["U21", "U9", "U22", "U10", "U23", "U11", "U24", "U12"] },
      { type: "2114", chips: 1, use: "colour" },
    ],
    rails: [
      { volt: 5, from: "outside" },
      { volt: 12, from: "regulator" },
    ],
    addressing: { by: "multiplexers", type: "74LS257" },
    decoding: { by: "array", type: "82S100" },
    clock: { by: "chip" },
    reset: { by: "timer", type: "556" },
    video: { by: "custom", type: "video chip", also: ["clock"] },
    io: [{ type: "6526" }, { type: "6526" }],
    keyboard: {},
    sound: { by: "chip", type: "6581" },
    tape: { motor: true },
  }),
  "a Z80 with one custom chip for nearly everything": blocksOf("Z80", {
    roms: [{ type: "23128", count: 1 }],
    ram: [
      { type: "4116", chips: 8 },
      { type: "4164", chips: 8 },
    ],
    rails: threeRails,
    addressing: { by: "multiplexers", type: "74LS157" },
    clock: { by: "video" },
    video: {
      by: "custom",
      type: "gate array",
      also: ["clock", "keyboard", "tape", "sound", "decoding"],
      output: "encoder",
    },
    keyboard: {},
    sound: { by: "beeper" },
    tape: {},
  }),
  "a Z80 with a video controller that has its own memory": blocksOf("Z80", {
    roms: [{ type: "27256", count: 1 }],
    ram: [
      { type: "4164", chips: 8 },
      { type: "4116", chips: 8, use: "screen" },
    ],
    video: { by: "controller", type: "9918A" },
    io: [{ type: "8255" }],
    keyboard: { columns: 10 },
    sound: { by: "chip", type: "AY-3-8910" },
  }),
  "a 6502 with TTL video and static screen memory": blocksOf("6502", {
    roms: [{ type: "2716", count: 4 }],
    ram: [
      { type: "2114", chips: 8 },
      { type: "2114", chips: 2, use: "screen" },
    ],
    video: { by: "discrete", characterRom: "2716" },
    io: [{ type: "6821" }, { type: "6821" }, { type: "6522" }],
    keyboard: {},
    sound: { by: "beeper", startBeep: true },
    tape: { motor: true },
  }),
  "a 6809 with a 6845 and memory controller": blocksOf("6809", {
    ram: [{ type: "4464", chips: 2 }],
    addressing: { by: "controller", type: "memory controller" },
    video: { by: "controller", characterRom: "2716" },
    io: [{ type: "6821" }, { type: "6850" }],
    keyboard: {},
  }),
  "an 8085 without a picture": blocksOf("8085", {
    io: [{ type: "8255" }, { type: "8251" }],
    keyboard: {},
  }),
  "an 8080 with dynamic memory on three rails": blocksOf("8080", {
    ram: [{ type: "4116", chips: 8 }],
    rails: threeRails,
    video: { by: "discrete", characterRom: "2716" },
    keyboard: {},
    tape: {},
  }),
};
