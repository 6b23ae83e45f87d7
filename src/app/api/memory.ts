import { z } from "zod";
import { failureModeIdSchema } from "../../core/board/failure-mode.js";
import { pictureFaultSchema } from "../../core/memory/picture/picture-fault.js";
import { pictureContents } from "../../core/memory/picture/picture-plan.js";
import { logEntrySchema } from "./entry.js";

const count = z.number().int().min(0);
const share = z.number().min(0).max(1);
const word = z.number().int().min(0).max(0xffff);

/** Most bytes of a request with failing addresses: a line each for 64 KiB, written at length. */
export const mostFailureBytes = 4_000_000;

const listedFaultSchema = z.strictObject({
  group: z.string(),
  title: z.string(),
  parts: z.array(z.string()).describe("The likeliest first."),
  fault: pictureFaultSchema,
  numbers: count
    .optional()
    .describe("For a row or column of a chip: how many it has; the fault names number 0."),
});

/** What can be done about memory on a board. */
export const memoryMeansSchema = z.strictObject({
  board: z.string(),
  title: z.string(),
  memories: z.array(
    z.strictObject({
      title: z.string(),
      ranges: z.string().describe("Its addresses, as `2000-3FFF`."),
      chips: z.array(z.string()),
      dynamic: z.boolean(),
    }),
  ),
  problems: z.array(z.string()).describe("Why something of the memory is not known, one sentence each."),
  picture: z
    .strictObject({
      kind: z.enum(["dots", "characters"]),
      columns: count,
      rows: count,
      dotsAcross: count,
      linesHigh: count,
      inverseBit: count.nullable(),
      faults: z.array(listedFaultSchema),
    })
    .nullable()
    .describe("Null if the board does not say how its picture lies in memory."),
});
export type MemoryMeans = z.infer<typeof memoryMeansSchema>;

/** Failing addresses to be explained. */
export const memoryReadsSchema = z.strictObject({
  text: z
    .string()
    .max(mostFailureBytes - 1000)
    .describe("One line each: address, expected, read, in any one notation."),
  tested: z
    .string()
    .max(400)
    .optional()
    .describe("Ranges that were tested, as `2000-3FFF,8000-FFFF`; all if absent."),
});
export type MemoryReads = z.infer<typeof memoryReadsSchema>;

/** What failing addresses say. */
export const memoryAnswerSchema = z.strictObject({
  reads: count,
  addresses: count,
  cells: count,
  explanations: z.array(
    z.strictObject({
      kind: z.string(),
      title: z.string(),
      share: share.describe("Ranks the explanations; no probability."),
      explained: count,
      unexplained: count,
      good: count,
      parts: z.array(
        z.strictObject({
          part: z.string(),
          pins: z.array(z.string()),
          failureMode: failureModeIdSchema,
          share,
          why: z.string(),
        }),
      ),
      picture: pictureFaultSchema
        .nullable()
        .describe("What to draw for it; null if the picture does not show it."),
    }),
  ),
  assumptions: z.array(z.string()),
  memories: z.array(
    z.strictObject({
      title: z.string(),
      dynamic: z
        .boolean()
        .describe("True: rows and columns are those of the chips; false: they are cut from the address."),
      panels: z.array(
        z.strictObject({
          part: z.string(),
          bit: count,
          rows: count,
          columns: count,
          across: count.describe("Blocks in a row."),
          states: z
            .string()
            .describe("A digit a block, row by row: 0 not tested, 1 good, 2 some fail, 3 all fail."),
          failing: count,
          tested: count,
        }),
      ),
    }),
  ),
  entry: logEntrySchema.describe("The same as an entry of the log."),
  says: z.string().describe("The entry in plain words."),
});
export type MemoryAnswer = z.infer<typeof memoryAnswerSchema>;

/** A fault to be drawn on the screen. */
export const pictureAskSchema = z.strictObject({
  fault: pictureFaultSchema,
  content: z.enum(pictureContents).describe("What the program wrote to the screen before."),
});
export type PictureAsk = z.infer<typeof pictureAskSchema>;

/** A screen with and without a fault. */
export const pictureAnswerSchema = z.strictObject({
  kind: z.enum(["dots", "characters"]),
  width: count.describe("Dots, or characters, in a row."),
  good: z
    .string()
    .describe(
      "Hexadecimal, row by row: a digit for four dots, the leftmost highest; or two digits a character.",
    ),
  shown: z.string().describe("Likewise, with the fault."),
  look: z.string().describe("What is to be seen, in one sentence."),
});
export type PictureAnswer = z.infer<typeof pictureAnswerSchema>;

/** What is seen on the screen. */
export const seenSchema = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("stripes"),
    direction: z.enum(["upright", "level"]),
    every: z.number().int().min(1).max(1024),
    at: z.number().int().min(1).max(1024),
    wide: z.number().int().min(1).max(1024),
    becomes: z.enum(["lit", "dark"]),
  }),
  z.strictObject({
    kind: z.literal("characters"),
    pairs: z
      .array(z.strictObject({ right: word, wrong: word }))
      .min(1)
      .max(32),
  }),
]);
export type Seen = z.infer<typeof seenSchema>;

/** Failures that would make what is seen. */
export const seenAnswerSchema = z.strictObject({
  matches: z.array(listedFaultSchema.extend({ content: z.enum(pictureContents) })),
});
export type SeenAnswer = z.infer<typeof seenAnswerSchema>;
