import { z } from "zod";
import { findOutputSchema } from "../output/find-output.js";
import { logEntrySchema } from "./entry.js";
import { revisionSchema } from "./shapes.js";

const probability = z.number().min(0).max(1);

/** A place to put the probe, on the map. */
export const probePlaceSchema = z.strictObject({
  label: z.string().describe("As `U12.6` or `U12`."),
  part: z.string(),
  pin: z.string().nullable().describe("Null where the whole part is meant."),
  pinName: z.string().describe("Empty where there is none."),
  net: z.string().nullable(),
  x: z.number().describe("Millimetres from the left edge, component side up."),
  y: z.number().describe("Millimetres from the top edge."),
  side: z
    .enum(["component", "solder"])
    .describe("Where the leg is best reached: chips from above, small parts and plugs from below."),
});
export type ProbePlace = z.infer<typeof probePlaceSchema>;

/** One way of answering a proposed step. */
export const stepAnswerSchema = z.strictObject({
  shows: z.string().describe("What is seen, for the button."),
  means: z.string().describe("What it would mean; empty where the plan makes no forecast of it."),
  probability: probability.nullable(),
  leads: z.array(z.strictObject({ part: z.string(), probability })),
  entry: logEntrySchema.describe("The entry to send."),
});
export type StepAnswer = z.infer<typeof stepAnswerSchema>;

/** What the page needs of a proposed step beyond what the plan says of it. */
export const stepViewSchema = z.strictObject({
  id: z.string().describe("Name of the step, to be sent with `cannot`; `gate:supply` for the safety gate."),
  title: z.string().describe("The step in a few words."),
  why: z.string().describe("Why this step now, in a sentence."),
  places: z
    .array(probePlaceSchema)
    .describe("Where to put the probe, first tip first; empty for a whole machine."),
  answers: z.array(stepAnswerSchema),
  canSkip: z.boolean().describe("False for the safety gate, which cannot be passed over."),
});
export type StepView = z.infer<typeof stepViewSchema>;

/** What the engine makes of a job's log at a revision. */
export const findingsSchema = z.strictObject({
  job: z.string(),
  revision: revisionSchema,
  result: findOutputSchema.describe(
    "In the form of `boardwake find --json`; suspects below two in ten thousand, rarer modes and the tails of groups are left out.",
  ),
  steps: z.array(stepViewSchema).describe("Item i belongs to `result.next[i]`."),
  previous: z
    .array(z.strictObject({ part: z.string(), probability }))
    .describe("Leading suspects before the last entry, to show what moved; empty if not known."),
});
export type Findings = z.infer<typeof findingsSchema>;
