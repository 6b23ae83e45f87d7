import { z } from "zod";

const bit = z.number().int().min(0).max(15);
const bits = z.array(bit).min(1).max(16).describe("Data bits concerned.");
const level = z.union([z.literal(0), z.literal(1)]);
const line = z.number().int().min(0).max(19).describe("Number of a processor address line.");

/** A failure of the picture memory or of what leads to it, as far as the picture shows it. */
export const pictureFaultSchema = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("bits-stuck"), bits, level }).describe("Data bits always read one level."),
  z
    .strictObject({
      kind: z.literal("cells"),
      axis: z.enum(["row", "column"]),
      number: z.number().int().min(0).max(4095),
      bits,
      level,
    })
    .describe("A row or a column of cells always reads one level."),
  z
    .strictObject({
      kind: z.literal("address-line"),
      lines: z
        .array(line)
        .min(1)
        .max(2)
        .describe("Address lines at rest: of a multiplexed line both halves."),
      level,
      side: z
        .enum(["both", "processor", "picture"])
        .describe("Whose addresses pass there: those of the program, of the picture, or of both."),
      bits: bits.optional().describe("Data bits of the chips concerned; all if absent."),
    })
    .describe("An address line stays at one level."),
  z
    .strictObject({
      kind: z.literal("address-lines-joined"),
      pairs: z
        .array(z.tuple([line, line]))
        .min(1)
        .max(2)
        .describe("Address lines that meet, by halves."),
      winner: level.describe("Level that wins where the two differ."),
    })
    .describe("Two address lines are joined."),
  z
    .strictObject({ kind: z.literal("data-bits-swapped"), first: bit, second: bit })
    .describe("Two data bits are swapped between memory and picture."),
  z
    .strictObject({
      kind: z.literal("forgets"),
      bits,
      rows: z
        .strictObject({ line, level })
        .optional()
        .describe("Rows concerned, by a row address line; all if absent."),
    })
    .describe("Cells fall back to their resting level before they are shown."),
  z
    .strictObject({ kind: z.literal("not-written") })
    .describe("Nothing is written: the memory keeps what it woke up with."),
]);

export type PictureFault = z.infer<typeof pictureFaultSchema>;
