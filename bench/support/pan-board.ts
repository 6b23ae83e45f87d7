import { type Board, boardSchema } from "../../src/core/board/board.js";
import { type PartType, partTypeSchema } from "../../src/core/board/part-type.js";

const sources = [{ id: "own-drawing", confidence: "seen" }];

function chipType(pins: number): PartType {
  return partTypeSchema.parse({
    type: `chip-${pins}`,
    title: `Chip with ${pins} legs`,
    package: `DIP${pins}`,
    technology: "ls-ttl",
    family: "logic-bipolar",
    pins: Array.from({ length: pins }, (_, i) => ({ number: String(i + 1), name: `P${i + 1}`, kind: "in" })),
    rails: [],
    behaviour: { kind: "cautious" },
    sources,
  });
}

const capacitor = partTypeSchema.parse({
  type: "capacitor",
  title: "Capacitor",
  package: "any",
  technology: "passive",
  family: "capacitor-ceramic",
  pins: "as-board",
  rails: [],
  behaviour: { kind: "plain", as: "capacitor" },
  sources,
});

/** Part types of the made-up board. */
export const panTypes: ReadonlyMap<string, PartType> = new Map(
  [chipType(16), chipType(20), chipType(24), chipType(40), capacitor].map((type) => [type.type, type]),
);

// 68 chips of 16 to 40 legs and 188 capacitors beside them: 256 parts with 2,000 pads.
const legs = [16, 20, 24, 40, 16, 24, 20, 24, 40, 16] as const;

const chipCount = 68;
const capacitorCount = 188;
const columns = 14;

const place = { section: "other", rotationDegree: 0 } as const;
const placeOfChip = (i: number) => ({
  xMillimetre: 16 + (i % columns) * 23,
  yMillimetre: 35 + Math.floor(i / columns) * 58,
});

const parts = [
  ...Array.from({ length: chipCount }, (_, i) => ({
    ref: `U${i + 1}`,
    type: `chip-${legs[i % legs.length]}`,
    ...place,
    ...placeOfChip(i),
    pins: { "1": "A" },
  })),
  ...Array.from({ length: capacitorCount }, (_, i) => {
    const { xMillimetre, yMillimetre } = placeOfChip(i % chipCount);
    // Up to three to each chip, one above the other.
    return {
      ref: `C${i + 1}`,
      type: "capacitor",
      ...place,
      xMillimetre,
      yMillimetre: yMillimetre - 27 - 3.2 * Math.floor(i / chipCount),
      pins: { "1": "A", "2": "GND" },
    };
  }),
];

/** A board as large as those of the time come. */
export const panBoard: Board = boardSchema.parse({
  formatVersion: 1,
  id: "pan",
  title: "Made-up board",
  summary: "For measuring how the map pans.",
  outline: { widthMillimetre: 330, heightMillimetre: 300 },
  ground: "GND",
  rails: [],
  parts,
  steady: {},
  phases: [{ id: "one", title: "Any moment", cycle: "none" }],
  memory: [],
  chain: { memoryFigure: false },
  accepted: [],
  sources,
});
