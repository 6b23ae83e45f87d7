import { z } from "zod";
import { sections } from "../../src/core/board/board.js";
import { failureFamilies, sourceReferenceSchema } from "../../src/core/board/part-type.js";

const phrase = z.string().min(1).describe("Text that must occur, in lower case; `a+b` wants both.");

const placeSchema = z.strictObject({
  phrase,
  families: z.array(z.enum(failureFamilies)).optional(),
  sections: z.array(z.enum(sections)).optional(),
  types: z.array(z.string()).optional().describe("Texts one of which the name of the type contains."),
  whole: z.boolean().optional().describe("True if the phrase means all parts that fit, not the first."),
});

const entryTemplate = z
  .record(z.string(), z.union([z.string(), z.number()]))
  .describe("A log entry; `$part` stands for the part, `$clock` for the net of the processor's clock.");

/** The file data/sketch/history-phrases.json: what the words of repair histories mean, for all of them alike. */
export const historyPhrasesSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  always: z.record(z.string(), z.unknown()).describe("Blocks every machine has."),
  blocks: z
    .array(
      z.strictObject({
        phrase,
        beside: z.string().optional().describe("Only if another block of the machine contains this."),
        notBeside: z.string().optional().describe("Not if another block of the machine contains this."),
        count: z.number().int().optional().describe("Number of chips where the phrase gives none."),
        adds: z
          .record(z.string(), z.unknown())
          .describe(
            "Fields of a block description; `count` stands for the number. Empty: no block of its own.",
          ),
      }),
    )
    .describe("First that fits counts."),
  later: z.array(z.string()).describe("Words with which a symptom begins that was seen after a repair."),
  symptoms: z.array(z.strictObject({ phrase, ids: z.array(z.string()) })),
  places: z.array(placeSchema).describe("Parts by the words for them; the first that fits counts."),
  results: z
    .array(z.strictObject({ phrase, means: z.enum(["fixed", "changed", "unchanged"]) }))
    .describe("What became of the machine after a swap or a reseat; the first that fits counts."),
  readings: z
    .array(
      z.strictObject({
        kinds: z.array(z.string()).min(1).describe("Kinds of step as the histories name them."),
        subject: phrase.optional().describe("Must occur in what was read or where."),
        result: phrase.optional().describe("Must occur in the result."),
        gives: z.array(entryTemplate).min(1),
      }),
    )
    .describe("First that fits counts; rails, swaps and reseats are read by rule."),
});

export type HistoryPhrases = z.infer<typeof historyPhrasesSchema>;
export type PlacePhrase = HistoryPhrases["places"][number];

/** True if all pieces of a phrase occur in the text. */
export function fits(pattern: string, text: string): boolean {
  const low = text.toLowerCase();
  return pattern.split("+").every((piece) => low.includes(piece));
}

const faultSchema = z.object({ part_kind: z.string(), part_type: z.string().nullable().optional() });

/** The fields of a repair history that are used; all others, addresses among them, are dropped. */
export const historySchema = z.object({
  id: z.string().regex(/^case-\d{3}$/),
  machine_family: z.string().min(1),
  blocks: z.array(z.string()),
  symptoms: z.array(z.string()),
  readings: z.array(z.object({ kind: z.string(), what: z.string(), where: z.string(), result: z.string() })),
  guesses_made: z.array(z.string()),
  fault_classes: z.array(z.string().regex(/^[a-z][a-z_]*$/)).min(1),
  additional_faults: z.array(faultSchema),
  good_parts_replaced: z.number().int().nonnegative().nullable(),
  usable_for_scoring: z.boolean(),
});

export type History = z.infer<typeof historySchema>;
