import { z } from "zod";

const hexAddress = z.string().regex(/^[0-9A-F]{1,6}$/);
const place = z.number().int().min(0).max(1023);
const span = z
  .strictObject({ from: place, to: place })
  .describe("From the first to the last, both included; the first of all is 0.");

const where = {
  columns: span,
  rows: span,
  from: hexAddress.describe("Address that the piece begins at, hexadecimal."),
};

const pieceSchema = z.discriminatedUnion("kind", [
  z
    .strictObject({
      kind: z.literal("steps"),
      ...where,
      columnStep: z.number().int().min(-65535).max(65535).describe("From one place of a row to the next."),
      rowStep: z.number().int().min(-65535).max(65535).describe("From one row to the next."),
    })
    .describe("The piece begins at `from` and goes on in even steps, counted from its first column and row."),
  z
    .strictObject({
      kind: z.literal("bits"),
      ...where,
      bits: z
        .array(z.string().regex(/^(?:[cr]\d|[01])$/))
        .min(1)
        .max(20)
        .describe(
          "What each address bit is, the lowest first: `c3` is bit 3 of the column's number, `r0` bit 0 of the row's, or 0 or 1. Added to `from`.",
        ),
    })
    .describe("The address is put together from the bits of the counters, as the board is wired."),
]);

/** Where in memory each place of the picture lies, and what is drawn there. */
export const pictureLayoutSchema = z.strictObject({
  columns: z.number().int().min(1).max(256).describe("Places in a row: bytes, or characters."),
  rows: z.number().int().min(1).max(1024).describe("Rows of places: lines, or rows of text."),
  dotsAcross: z.number().int().min(1).max(16).describe("Dots of one place, from left to right."),
  linesHigh: z
    .number()
    .int()
    .min(1)
    .max(32)
    .describe("Lines of one place; 1 for a picture drawn bit by bit."),
  draws: z.discriminatedUnion("kind", [
    z
      .strictObject({
        kind: z.literal("dots"),
        leftBit: z.number().int().min(0).max(15).describe("Data bit of the leftmost dot."),
        rightBit: z.number().int().min(0).max(15).describe("Data bit of the rightmost dot."),
        lit: z.enum(["one", "zero"]).describe("Bit of a lit dot."),
      })
      .describe("Each data bit is a dot."),
    z
      .strictObject({
        kind: z.literal("characters"),
        codes: z.literal("ascii").describe("Code of the character generator."),
        inverseBit: z
          .number()
          .int()
          .min(0)
          .max(15)
          .optional()
          .describe("Data bit that turns a character over."),
      })
      .describe("Each word is the code of a character."),
  ]),
  blank: z
    .string()
    .regex(/^[0-9A-F]{1,4}$/)
    .describe("Word that the program clears the picture with, hexadecimal."),
  pieces: z.array(pieceSchema).min(1).max(64).describe("Each place lies in exactly one of them."),
});

export type PictureLayout = z.infer<typeof pictureLayoutSchema>;
export type PicturePiece = PictureLayout["pieces"][number];
