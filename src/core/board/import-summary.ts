import type { Board, BoardPart } from "./board.js";
import type { FailureFamily, PartType } from "./part-type.js";
import type { PartTypeSource } from "./read/board-semantics.js";
import { refLetters } from "./recognise/recognise-part.js";

/** A component that no type of the library was found for. */
export interface UnknownPart {
  readonly ref: string;
  readonly value: string;
  readonly why: string;
}

/** A memory chip with the data bits it holds, in the order of its data pins; none where they are not known. */
export interface RamChip {
  readonly part: string;
  readonly bits: readonly number[];
}

/** What an import found, in numbers and by what each part is for. */
export interface ImportSummary {
  readonly parts: number;
  readonly nets: number;
  /** Pins on a net. */
  readonly pins: number;
  /** Integrated circuits, recognised or not. */
  readonly chips: number;
  /** Integrated circuits of a type that the library has. */
  readonly recognised: number;
  /** Supply nets by their usual name: `GND`, `+5V`, `-12V`; of several at one voltage the one with most pins. */
  readonly rails: Readonly<Record<string, string>>;
  readonly roles: {
    readonly cpu: readonly string[];
    readonly ram: readonly RamChip[];
    readonly rom: readonly string[];
  };
}

const chipFamilies: ReadonlySet<FailureFamily> = new Set<FailureFamily>([
  ...([
    "logic-bipolar",
    "logic-mos",
    "dram",
    "sram",
    "rom",
    "eprom",
    "microprocessor",
    "peripheral",
  ] as const),
  ...(["video-controller", "programmable-logic", "linear", "line-driver", "timer", "regulator"] as const),
]);
const memoryFamilies: ReadonlySet<FailureFamily> = new Set<FailureFamily>(["dram", "sram", "rom", "eprom"]);
const chipLetters: ReadonlySet<string> = new Set(["U", "IC"]);
// A part nobody knows with this many pins in use is taken for a chip, whatever its letters.
const fewestUnknownPins = 8;

/** Sums up an imported board; `localTypes` are the types that were made for components nobody knows. */
export function summariseImport(
  board: Board,
  library: PartTypeSource,
  localTypes: readonly PartType[],
): ImportSummary {
  const local = new Set(localTypes.map(({ type }) => type));
  const pinsOfNet = new Map<string, number>();
  for (const part of board.parts)
    for (const net of Object.values(part.pins)) pinsOfNet.set(net, (pinsOfNet.get(net) ?? 0) + 1);
  const chips = board.parts.filter((part) =>
    isChip(part, local.has(part.type) ? undefined : library.get(part.type)),
  );
  const bits = new Map(
    board.memory.flatMap((region) => region.chips.map((chip) => [chip.part, chip.bits] as const)),
  );
  const withContent = (content: "ram" | "rom"): BoardPart[] =>
    board.parts.filter((part) => {
      const type = library.get(part.type);
      // A register file is memory by its behaviour, but nobody looks for it among the memory chips.
      const isMemoryChip = type !== undefined && memoryFamilies.has(type.family);
      return isMemoryChip && type.behaviour.kind === "memory" && type.behaviour.content === content;
    });
  return {
    parts: board.parts.length,
    nets: pinsOfNet.size,
    pins: [...pinsOfNet.values()].reduce((sum, count) => sum + count, 0),
    chips: chips.length,
    recognised: chips.filter((part) => !local.has(part.type)).length,
    rails: railsOf(board, pinsOfNet),
    roles: {
      cpu: board.parts
        .filter((part) => library.get(part.type)?.behaviour.kind === "processor")
        .map(({ ref }) => ref),
      ram: withContent("ram").map(({ ref }) => ({ part: ref, bits: bits.get(ref) ?? [] })),
      rom: withContent("rom").map(({ ref }) => ref),
    },
  };
}

function isChip(part: BoardPart, type: PartType | undefined): boolean {
  if (type !== undefined) return chipFamilies.has(type.family);
  return chipLetters.has(refLetters(part.ref)) || Object.keys(part.pins).length >= fewestUnknownPins;
}

function railsOf(board: Board, pinsOfNet: ReadonlyMap<string, number>): Record<string, string> {
  const named = new Map([["GND", board.ground]]);
  const count = (net: string): number => pinsOfNet.get(net) ?? 0;
  // A raw feed of about 5 V is not what a chip's pin means by +5 V, so regulated rails come first.
  const ranked = [...board.rails].sort(
    (a, b) => Number(a.raw === true) - Number(b.raw === true) || count(b.net) - count(a.net),
  );
  for (const { net, nominalVolt } of ranked) {
    const name = `${nominalVolt < 0 ? "-" : "+"}${Math.abs(nominalVolt)}V`;
    if (!named.has(name)) named.set(name, net);
  }
  return Object.fromEntries(named);
}
