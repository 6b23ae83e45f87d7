import { type Board, type BoardPart, boardFormatVersion } from "../board.js";
import type { PartType } from "../part-type.js";
import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import { besideChip, layOut, type Place } from "./layout.js";
import { ground, type SketchPart } from "./sketch-part.js";

/** The board file of what was wired, with places on a rough map and a capacitor at each chip. */
export function finishBoard(builder: SketchBuilder, blocks: Blocks): Board {
  const { places, widthMillimetre, heightMillimetre } = layOut(builder.parts);
  const chips = [...builder.parts];
  const parts: BoardPart[] = chips.map((part) => boardPart(part, places.get(part)));
  for (const part of chips) parts.push(...decouplers(builder, part, places.get(part)));
  const { id, title, year, machineFamily } = blocks;
  const cpu = chips.find(({ type }) => type.behaviour.kind === "processor");
  const nets = new Set(parts.flatMap(({ pins }) => Object.values(pins)));
  return {
    formatVersion: boardFormatVersion,
    id,
    title,
    summary: `${title}: sketched from its blocks; wiring assumed unless it says otherwise.`,
    ...(year === undefined ? {} : { year }),
    ...(machineFamily === undefined ? {} : { machineFamily }),
    outline: { widthMillimetre, heightMillimetre },
    ground,
    rails: builder.rails,
    parts: parts.sort((a, b) => (a.ref < b.ref ? -1 : 1)),
    ...(cpu === undefined ? {} : { processor: cpu.ref }),
    assumedWiredOtherwise: builder.usual.wiredOtherwise,
    steady: Object.fromEntries(Object.entries(builder.steady).filter(([net]) => nets.has(net))),
    phases: builder.finishedPhases().map((phase) => withNets(phase, nets)),
    memory: builder.memory,
    chain: builder.chain,
    accepted: [],
    sources: [{ id: "common-practice", confidence: "memory" }],
  };
}

function withNets(phase: Board["phases"][number], nets: ReadonlySet<string>): Board["phases"][number] {
  const { levels, ...plain } = phase;
  const kept = Object.entries(levels ?? {}).filter(([net]) => nets.has(net));
  return kept.length === 0 ? plain : { ...plain, levels: Object.fromEntries(kept) };
}

/** Large chips but memories stood in sockets more often than not (common practice, no source). */
function isUsuallySocketed(type: PartType): boolean {
  if (type.pins === "as-board" || type.pins.length < 24) return false;
  return type.behaviour.kind !== "memory" || type.behaviour.content === "rom";
}

function boardPart(part: SketchPart, place: Place | undefined): BoardPart {
  const { ref, type, section, value, frequencyHertz, socketed, samplesIn, known, pins } = part;
  const sure = new Set(
    type.pins === "as-board"
      ? []
      : type.pins.filter(({ kind }) => kind === "power" || kind === "ground").map(({ number }) => number),
  );
  const assumed = Object.keys(pins).filter((number) => !sure.has(number));
  return {
    ref,
    type: type.type,
    ...(value === undefined ? {} : { value }),
    ...(frequencyHertz === undefined ? {} : { frequencyHertz }),
    section,
    xMillimetre: place?.xMillimetre ?? 0,
    yMillimetre: place?.yMillimetre ?? 0,
    rotationDegree: 0,
    ...((socketed ?? isUsuallySocketed(type)) ? { socketed: true } : {}),
    ...(samplesIn === undefined ? {} : { samplesIn: [...samplesIn] }),
    pins,
    ...(known ? {} : { source: "assumed" as const }),
    ...(assumed.length === 0 ? {} : { assumedPins: assumed }),
  };
}

/** A capacitor at each supply pin of a chip (common practice, no source). */
function decouplers(builder: SketchBuilder, part: SketchPart, place: Place | undefined): BoardPart[] {
  const { type, pins } = part;
  if (type.pins === "as-board" || place === undefined || type.technology === "discrete") return [];
  if (type.behaviour.kind === "supply" || type.behaviour.kind === "plain") return [];
  const volts = new Map<string, number>();
  for (const { number, name, kind } of type.pins) {
    const net = pins[number];
    const volt = type.rails.find(({ pin }) => pin === name)?.nominalVolt;
    if (kind === "power" && net !== undefined && volt !== undefined && volt !== 0) volts.set(net, volt);
  }
  return [...volts].map(
    ([net, volt], i): BoardPart => ({
      ref: builder.freeRef("C"),
      type: "capacitor-ceramic",
      value: "100n",
      section: part.section,
      ...besideChip(part, place, i),
      rotationDegree: 0,
      pins: volt > 0 ? { "1": net, "2": ground } : { "1": ground, "2": net },
      source: "assumed",
    }),
  );
}
