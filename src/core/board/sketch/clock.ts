import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import type { CustomChip } from "./custom-chip.js";
import { ground, railNet } from "./sketch-part.js";

/** Clock nets other blocks are wired to. */
export interface ClockNets {
  /** Fastest clock; times strobes. */
  readonly fast: string;
  /** Steps the dots of a picture. */
  readonly dot: string;
  /** Steps the characters of a picture. */
  readonly cell: string;
  /** High at the end of each character. */
  readonly cellEnd: string;
}

const hertz = (blocks: Blocks): number => Math.round((blocks.clock.megahertz ?? 16) * 1e6);
export const fastClock = "CLK FAST";

/** Wires the clock; `cpuClock` is the net it feeds the processor with, undefined where the processor has its own. */
export function wireClock(
  builder: SketchBuilder,
  blocks: Blocks,
  cpuClock: string | undefined,
  customClock: CustomChip | undefined,
): ClockNets {
  if (blocks.clock.by === "video" && customClock !== undefined) {
    crystal(builder, blocks, ["VIDEO XTAL 1", "VIDEO XTAL 2"]);
    customClock.input("VIDEO XTAL 2");
    customClock.follows(fastClock, "VIDEO XTAL 1", []);
  } else wireSource(builder, blocks);
  if (customClock !== undefined && cpuClock !== undefined) {
    customClock.follows(
      cpuClock,
      customClock.input(blocks.clock.by === "video" ? "VIDEO XTAL 1" : fastClock),
      [],
    );
    return { fast: fastClock, dot: fastClock, cell: cpuClock, cellEnd: cpuClock };
  }
  builder.add({
    type: "74LS163",
    section: "clock",
    pins: {
      CLK: fastClock,
      A: ground,
      B: ground,
      C: ground,
      D: ground,
      "/CLR": railNet(5),
      "/LOAD": railNet(5),
      ENP: railNet(5),
      ENT: railNet(5),
      QA: "CLK 2",
      QB: cpuClock === "CPU CLK" ? cpuClock : "CLK 4",
      QC: "CLK 8",
      QD: cpuClock === "PHI0" ? cpuClock : "CLK 16",
      RCO: "CELL END",
    },
  });
  return {
    fast: fastClock,
    dot: "CLK 2",
    cell: cpuClock === "PHI0" ? cpuClock : "CLK 16",
    cellEnd: "CELL END",
  };
}

function crystal(builder: SketchBuilder, blocks: Blocks, nets: readonly string[]): void {
  const frequencyHertz = hertz(blocks);
  const pins = { "1": nets[0], "2": nets[1] };
  const value = `${frequencyHertz / 1e6} MHz`;
  builder.add({ type: "crystal", letter: "X", section: "clock", value, frequencyHertz, pins });
}

function wireSource(builder: SketchBuilder, blocks: Blocks): void {
  const { by, ref } = blocks.clock;
  if (by === "module") {
    const frequencyHertz = hertz(blocks);
    builder.add({
      type: "oscillator-module",
      section: "clock",
      ref,
      frequencyHertz,
      pins: { OUT: fastClock },
    });
    return;
  }
  if (by === "chip") {
    crystal(builder, blocks, ["CHIP XTAL 1", "CHIP XTAL 2"]);
    const pins = { XTAL1: "CHIP XTAL 1", XTAL2: "CHIP XTAL 2", DOT: fastClock };
    builder.add({ type: "clock-chip", section: "clock", ref, pins });
    return;
  }
  crystal(builder, blocks, ["OSC 1", "OSC 4"]);
  builder.between("resistor", "R", "470", ["OSC 1", "OSC 2"], "clock");
  builder.between("resistor", "R", "470", ["OSC 3", "OSC 4"], "clock");
  builder.between("capacitor-ceramic", "C", "22n", ["OSC 2", "OSC 3"], "clock");
  builder.add({
    type: "74LS04",
    section: "clock",
    ref,
    pins: {
      "1A": "OSC 1",
      "1Y": "OSC 2",
      "2A": "OSC 3",
      "2Y": "OSC 4",
      "3A": "OSC 4",
      "3Y": fastClock,
      "4A": ground,
      "5A": ground,
      "6A": ground,
    },
  });
  builder.steady["OSC 1"] = "pulsing";
  builder.steady["OSC 3"] = "pulsing";
}

/** Wires the reset: `RESET` is high and `/RESET` low for a moment after power comes up. */
export function wireReset(builder: SketchBuilder, blocks: Blocks): void {
  const { by, type = "555", ref } = blocks.reset;
  builder.between("resistor", "R", "47k", [railNet(5), "RESET RC"], "reset");
  builder.between("capacitor-aluminium", "C", "10u 16 V", ["RESET RC", ground], "reset");
  builder.between("diode", "D", "1N4148", [railNet(5), "RESET RC"], "reset");
  if (by === "gates") {
    const pins = {
      "1A": "RESET RC",
      "1Y": "RESET",
      "2A": "RESET",
      "2Y": "/RESET",
      "3A": ground,
      "4A": ground,
      "5A": ground,
      "6A": ground,
    };
    builder.add({ type: "74LS14", section: "reset", ref, pins });
    return;
  }
  const own = { TRIG: "RESET RC", THRES: "RESET RC", OUT: "RESET" };
  const pins: Record<string, string> =
    type === "556"
      ? {
          "1TRIG": "RESET RC",
          "1THRES": "RESET RC",
          "/1RESET": railNet(5),
          "1OUT": "RESET",
          "2TRIG": railNet(5),
          "2THRES": ground,
          "/2RESET": railNet(5),
        }
      : { ...own, "/RESET": railNet(5) };
  builder.add({ type: type === "556" ? "556" : "555", section: "reset", ref, pins });
  builder.level("RESET", () => "low");
  builder.gate("not", ["RESET"], "/RESET", "reset");
}
