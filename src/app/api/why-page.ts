import { z } from "zod";
import { findOutputSchema } from "../output/find-output.js";
import { logEntrySchema } from "./entry.js";
import { probePlaceSchema } from "./findings.js";
import { clientIdSchema, revisionSchema } from "./shapes.js";

const probability = z.number().min(0).max(1);

/** Why a part is suspected, and what would clear it. */
export const whyPageSchema = z.strictObject({
  job: clientIdSchema,
  revision: revisionSchema,
  ref: z.string(),
  type: z.string(),
  title: z.string(),
  probability,
  cleared: z.boolean().describe("True if what the log holds as good as clears it; then `suspect` is null."),
  suspect: findOutputSchema.shape.suspects.unwrap().element.nullable(),
  evidence: z
    .array(
      z.strictObject({
        entry: z.number().int(),
        text: z.string().describe("The entry in plain words."),
        bits: z
          .number()
          .describe(
            "Weight: above 0 if the entry is likelier with the part at fault, below 0 if it is likelier without.",
          ),
        says: z.string(),
      }),
    )
    .describe("Heaviest first."),
  prior: z
    .array(
      z.strictObject({
        id: z.enum(["handbook", "trade", "age", "field", "events", "ownJobs"]),
        title: z.string(),
        value: z.number().describe("A rate per million hours for the handbook, a factor for the others."),
        source: z.string().describe("Where the figure comes from, or `common practice, no source`."),
      }),
    )
    .describe("What its chance was made of before anything was seen."),
  clears: z
    .array(
      z.strictObject({
        place: probePlaceSchema.nullable(),
        at: z.string().describe("As a log entry names it."),
        wouldShow: z.string().describe("What stands there if the part is at fault."),
        clearedBy: z.string().describe("What would speak for the part instead."),
        chance: probability.describe("How likely a reading there comes out so, as things stand."),
        factor: z
          .number()
          .min(0)
          .describe(
            "What the odds of the part are multiplied by then, instrument errors left out; 0 clears it.",
          ),
        entry: logEntrySchema.nullable().describe("The entry to send if it comes out so."),
      }),
    )
    .describe("Readings that could clear it, those that promise most first."),
});
export type WhyPage = z.infer<typeof whyPageSchema>;
