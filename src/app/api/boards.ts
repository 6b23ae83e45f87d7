import { z } from "zod";
import { sections } from "../../core/board/board.js";
import { instruments } from "../../core/find/case/case.js";

const millimetre = z.number();
const box = z.strictObject({ x: millimetre, y: millimetre, width: millimetre, height: millimetre });

/** A board to choose from. */
export const boardSummarySchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  subtitle: z.string().describe("What it is, in a sentence or two."),
  year: z.number().int().optional(),
  chips: z.number().int().describe("Parts with six legs or more that are no connectors."),
  parts: z.number().int(),
  nets: z.number().int(),
  own: z.boolean().describe("True for a board that was brought to this bench."),
  versions: z
    .number()
    .int()
    .describe("Versions of a board of one's own; 0 for one that came with the program."),
});
export type BoardSummary = z.infer<typeof boardSummarySchema>;

/** A pin on the map. Millimetres from the top left corner, seen from the component side. */
export const mapPinSchema = z.strictObject({
  pin: z.string().describe("Number as printed in the data sheet."),
  name: z.string().describe("Name on the data sheet; empty where the type has none."),
  net: z.string().nullable().describe("Null for a pin left open."),
  x: millimetre,
  y: millimetre,
});

/** A part on the map; the shape is that of `core/draw/board-map.ts`. */
export const mapPartSchema = z.strictObject({
  ref: z.string(),
  type: z.string(),
  title: z.string(),
  value: z.string().optional(),
  section: z.enum(sections),
  socketed: z.boolean(),
  shape: z.enum(["chip", "box", "round", "axial", "disc", "tab", "edge", "point", "outside"]),
  body: box,
  rotationDegree: z.union([z.literal(0), z.literal(90), z.literal(180), z.literal(270)]),
  pins: z.array(mapPinSchema),
  pinOne: z.string().optional().describe("Pin that marks the way round."),
  side: z.enum(["component", "solder"]).describe("Side of the board it sits on."),
});

/** What was measured of a board's wiring and worked into it. */
export const growthSchema = z.strictObject({
  changes: z.array(
    z.strictObject({
      kind: z.enum(["joined", "added", "left", "confirmed"]),
      entries: z.array(z.number().int()).describe("Log entries it rests on."),
      says: z.string(),
    }),
  ),
  contradictions: z
    .array(
      z.strictObject({
        entry: z.number().int().describe("Changes nothing as long as the others stand."),
        against: z.array(z.number().int()),
        says: z.string(),
      }),
    )
    .describe("Facts that cannot hold together."),
});
export type Growth = z.infer<typeof growthSchema>;

/** Everything that drawing a board and describing its machine needs. */
export const boardDetailSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  subtitle: z.string(),
  year: z.number().int().optional(),
  own: z.boolean().describe("True for a board that was brought to this bench."),
  version: z.number().int().nullable().describe("Null for a board that came with the program."),
  growth: growthSchema.nullable().describe("Null if nothing was measured of its wiring."),
  widthMillimetre: millimetre,
  heightMillimetre: millimetre,
  extent: box.describe("Everything drawn, with what sticks out over the edges."),
  ground: z.string(),
  rails: z.array(
    z.strictObject({
      net: z.string(),
      nominalVolt: z.number(),
      tolerancePercent: z.number(),
      raw: z.boolean().describe("True for an unregulated or alternating feed."),
    }),
  ),
  parts: z.array(mapPartSchema),
  nets: z.array(
    z.strictObject({
      name: z.string(),
      duty: z.enum(["signal", "rail", "ground"]),
      pins: z.array(z.string()).describe("As `U7.12`."),
    }),
  ),
  symptoms: z
    .array(
      z.strictObject({
        id: z.string(),
        group: z.string().describe("What of the machine it is about: `picture`, `sound`, `keys` …"),
        groupTitle: z.string(),
        wording: z.string(),
      }),
    )
    .describe("Those the board's file lets the reasoning use; of a group at most one holds at a time."),
  keyLines: z.array(z.string()).describe("Lines of the key matrix, for dead keys."),
  instruments: z.array(
    z.strictObject({
      id: z.enum(instruments),
      name: z.string(),
      free: z.boolean().describe("True for those that everybody has."),
    }),
  ),
  events: z
    .array(z.strictObject({ id: z.string(), wording: z.string() }))
    .describe("Mishaps and own work, for the history of the machine."),
});
export type BoardDetail = z.infer<typeof boardDetailSchema>;
