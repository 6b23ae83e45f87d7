import type { SketchBuilder } from "./builder.js";
import { ground, railNet } from "./sketch-part.js";

/** What the address pins of a memory are switched between. */
export interface AddressSources {
  /** Address lines of the processor, least significant first. */
  readonly processor: readonly string[];
  /** Address lines of the picture, where it shares the memory. */
  readonly picture?: readonly string[] | undefined;
  /** High while the picture owns the memory. */
  readonly turn: string;
  /** High while the column address is out. */
  readonly column: string;
}

/** Multiplexer types that can switch addresses. */
export const muxTypes = ["74LS153", "74LS157", "74LS158", "74LS257", "74LS258"] as const;
const lineOr = (nets: readonly string[], line: number): string => nets[line] ?? ground;

/** Switches `outputs` between two sets of lines by quad multiplexers: `low` while `select` is low. */
export function switchLines(
  builder: SketchBuilder,
  wish: {
    readonly type: string;
    readonly outputs: readonly string[];
    readonly low: readonly string[];
    readonly high: readonly string[];
    readonly select: string;
    /** Net that lets the outputs drive while low; ground if absent. */
    readonly enable?: string;
    readonly refs?: string[] | undefined;
    readonly section?: "memory" | "video";
  },
): void {
  const { type, outputs, low, high, select, enable = ground, refs, section = "memory" } = wish;
  for (let from = 0; from < outputs.length; from += 4) {
    const pins: Record<string, string> = { "/A_B": select, "/G": enable };
    for (let i = 0; i < 4; i += 1) {
      const output = outputs[from + i];
      pins[`${i + 1}A`] = output === undefined ? ground : lineOr(low, from + i);
      pins[`${i + 1}B`] = output === undefined ? ground : lineOr(high, from + i);
      if (output !== undefined) pins[`${i + 1}Y`] = output;
    }
    builder.add({ type, section, ref: refs?.shift(), pins });
  }
}

/**
 * Multiplexes rows and columns onto the address pins of a dynamic memory, and the picture's address too if it shares
 * the memory: by dual four-way multiplexers, or by quad ones behind each other.
 */
export function multiplexRows(
  builder: SketchBuilder,
  type: string,
  outputs: readonly string[],
  sources: AddressSources,
  refs: string[],
): void {
  const count = outputs.length;
  const { processor, picture, turn, column } = sources;
  if (type === "74LS153") {
    for (let line = 0; line < count; line += 2) {
      const pins: Record<string, string> = { A: column, B: picture === undefined ? ground : turn };
      for (const unit of [1, 2]) {
        const at = line + unit - 1;
        const output = outputs[at];
        const inputs = [
          lineOr(processor, at),
          lineOr(processor, at + count),
          picture === undefined ? ground : lineOr(picture, at),
          picture === undefined ? ground : lineOr(picture, at + count),
        ];
        inputs.forEach((net, i) => {
          pins[`${unit}C${i}`] = output === undefined ? ground : net;
        });
        pins[`/${unit}G`] = ground;
        if (output !== undefined) pins[`${unit}Y`] = output;
      }
      builder.add({ type, section: "memory", ref: refs.shift(), pins });
    }
    return;
  }
  let lines = processor;
  if (picture !== undefined) {
    const all = processor.slice(0, 2 * count).map((net) => `RAM ${net}`);
    switchLines(builder, { type: "74LS157", outputs: all, low: processor, high: picture, select: turn });
    lines = all;
  }
  switchLines(builder, {
    type,
    outputs,
    low: lines.slice(0, count),
    high: lines.slice(count, 2 * count),
    select: column,
    refs,
  });
}

/** The levels of a strobe register are timed by the fast clock; its chips hold four stages each. */
export function addStages(
  builder: SketchBuilder,
  clock: string,
  stages: readonly { readonly data: string; readonly q: string; readonly inverted?: string }[],
): void {
  for (let from = 0; from < stages.length; from += 4) {
    const pins: Record<string, string> = { CLK: clock, "/CLR": railNet(5) };
    for (let i = 0; i < 4; i += 1) {
      const stage = stages[from + i];
      pins[`${i + 1}D`] = stage?.data ?? ground;
      if (stage !== undefined) pins[`${i + 1}Q`] = stage.q;
      if (stage?.inverted !== undefined) pins[`/${i + 1}Q`] = stage.inverted;
    }
    builder.add({ type: "74LS175", section: "memory", pins });
  }
}
