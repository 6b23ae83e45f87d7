import { z } from "zod";
import { fuseDevices } from "../../core/board/logic/fuse-maps.js";
import { momentSchema } from "./shapes.js";

/** Most bytes of a request that brings files. */
export const mostUploadBytes = 24_000_000;

const fileName = z.string().min(1).max(200);
const ref = z.string().min(1).max(40);

/** What the user knows better than the guesses of an import; as an overrides file has it. */
const correctionsSchema = z.strictObject({
  types: z.record(ref, z.string().min(1).max(80)).optional().describe("Part type by reference."),
  jumpers: z
    .record(ref, z.array(z.tuple([z.string().min(1).max(40), z.string().min(1).max(40)])).max(40))
    .optional()
    .describe("Joined pins by reference; an empty list leaves a jumper open."),
});

/** Files of one board, to be looked at or kept. */
export const newBoardSchema = z.strictObject({
  files: z
    .array(z.strictObject({ name: fileName, text: z.string() }))
    .min(1)
    .max(8)
    .describe("Netlists and layouts of one board; or one board file with or without its `.types.json`."),
  corrections: correctionsSchema.optional(),
  keep: z.boolean().describe("False only tells what would come of it."),
  as: z.string().max(80).optional().describe("Board of one's own of which this is a new version."),
  title: z.string().max(200).optional(),
  note: z.string().max(2000).optional().describe("What is new in this version."),
});
export type NewBoard = z.input<typeof newBoardSchema>;

/** What a programmed part of a board of one's own does. */
export const programSchema = z.strictObject({
  part: ref,
  device: z.enum(fuseDevices),
  kind: z.enum(["fuses", "equations"]),
  text: z.string().min(1).max(200_000).describe("A JEDEC fuse file (JESD3), or equations, a line each."),
});
export type Program = z.infer<typeof programSchema>;

/** The version that came of it. */
export const keptVersionSchema = z.strictObject({ id: z.string(), version: z.number().int() });

/** What an import found. */
export const importReportSchema = z.strictObject({
  board: z.string(),
  title: z.string(),
  parts: z.number().int(),
  nets: z.number().int(),
  pins: z.number().int().describe("Pins on a net."),
  chips: z.number().int(),
  recognised: z.number().int().describe("Chips of a type that the library has."),
  unknown: z
    .array(z.strictObject({ ref: z.string(), value: z.string(), why: z.string() }))
    .describe("Parts nobody knows, those that hide most lines first."),
  rails: z.record(z.string(), z.string()).describe("Net by the usual name of the supply."),
  roles: z.strictObject({
    cpu: z.array(z.string()),
    ram: z.array(z.strictObject({ part: z.string(), bits: z.array(z.number().int()) })),
    rom: z.array(z.string()),
  }),
  guesses: z.array(
    z.strictObject({ subject: z.string(), taken: z.string(), reason: z.string(), certainty: z.string() }),
  ),
  warnings: z.array(z.string()),
  ownTypes: z.array(z.string()).describe("Part types made for this board alone."),
});
export type ImportReport = z.infer<typeof importReportSchema>;

/** What came of the files. */
export const madeBoardSchema = z.strictObject({
  kept: z
    .strictObject({ id: z.string(), version: z.number().int() })
    .nullable()
    .describe("Null if it was only looked at."),
  report: importReportSchema,
});
export type MadeBoard = z.infer<typeof madeBoardSchema>;

/** A version of a board of one's own. */
export const boardVersionSchema = z.strictObject({
  number: z.number().int().min(1),
  at: momentSchema,
  note: z.string(),
  report: importReportSchema,
});
export type BoardVersion = z.infer<typeof boardVersionSchema>;

const sides = { before: z.string().optional(), after: z.string().optional() };

/** How two versions differ. */
export const boardDiffSchema = z.strictObject({
  added: z.array(z.string()),
  removed: z.array(z.string()),
  renamedNets: z.array(z.strictObject({ before: z.string(), after: z.string() })),
  pins: z.array(z.strictObject({ pin: z.string(), ...sides })).describe("Pins on another net."),
  fields: z.array(z.strictObject({ field: z.string(), ...sides })),
});
export type BoardDiff = z.infer<typeof boardDiffSchema>;
