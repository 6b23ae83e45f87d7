import { z } from "zod";

const text = z.string().min(1).max(200);

/** What was found to be the matter when a job was closed. */
export const verdictSchema = z.strictObject({
  part: text.optional().describe("Reference of the part that was at fault; absent if none was found."),
  mode: text.optional().describe("Id of the failure mode, where it is known."),
  words: z.string().min(1).max(2000).describe("The verdict in the restorer's own words."),
});
export type Verdict = z.infer<typeof verdictSchema>;

const setupSchema = z
  .strictObject({
    kind: z.literal("job-setup"),
    board: text.optional().describe("Id of the board; in the first entry only."),
    boardVersion: z
      .number()
      .int()
      .min(1)
      .optional()
      .describe("Version of a board of one's own; a later one moves the job to another version."),
    title: text.optional().describe("What the job is called; needed in the first entry."),
    // The names of instruments belong to the find engine, which checks them.
    instruments: z.array(text).max(50).optional().describe("Instruments at hand from now on."),
    spares: z.array(text).max(500).optional().describe("Part types in the drawer."),
    year: z.number().int().min(1970).max(2200).optional().describe("Year of the repair."),
    priorFactors: z
      .record(text, z.number().min(0.001).max(1000))
      .optional()
      .describe("Factors on the prior odds by part or failure family."),
  })
  .describe("What the job is; opens every log. A later one replaces the fields that it gives.");

const closedSchema = z
  .strictObject({ kind: z.literal("job-closed"), verdict: verdictSchema })
  .describe("The job is done.");

const reopenedSchema = z
  .strictObject({ kind: z.literal("job-reopened"), why: z.string().max(2000).optional() })
  .describe("A closed job goes on.");

const cannotSchema = z
  .strictObject({
    kind: z.literal("cannot"),
    step: text.describe("Id of a proposed step."),
    says: z.string().max(300).optional().describe("The step in words, to be shown in the log."),
  })
  .describe("A proposed step that cannot be done here; it is not proposed again until this is struck out.");

const pin = z
  .string()
  .regex(/^.{1,80}\..{1,40}$/)
  .describe("Pin as `U4.7`.");

const connectionSchema = z
  .strictObject({
    kind: z.literal("connection"),
    from: pin,
    to: pin,
    shows: z.enum(["rings", "open"]).describe("Whether the two ring to each other, with the power off."),
    note: z.string().max(2000).optional(),
  })
  .describe(
    "How the board is wired, as measured: it adds to the nets of the job's board or corrects them. A reading of two pins says instead what the fault does.",
  );

const percent = z.number().min(-100).max(1000);

const deckMeasurementSchema = z
  .strictObject({
    kind: z.literal("deck-measurement"),
    stage: z.enum(["before", "after"]).describe("Before or after the work on the deck."),
    recording: z.string().max(300).optional().describe("Name of the recording."),
    toneHz: z.number().min(2000).max(5000).describe("The reference tone."),
    speedErrorPercent: percent
      .optional()
      .describe("Error of the mean speed; absent for a tone that the deck recorded itself, which hides it."),
    flutterWeightedPeakPercent: percent.optional().describe("Two-sigma; absent for a recording too short."),
    flutterUnweightedPeakPercent: percent.optional(),
    flutterWeightedRmsPercent: percent.optional(),
    dropouts: z.number().int().min(0).max(1_000_000),
    limits: text.optional().describe("Id of the limits that it was judged by."),
    grade: z.enum(["good", "fair", "poor"]).optional().describe("The worst of its judgements."),
    note: z.string().max(2000).optional(),
  })
  .describe("What was measured of the cassette deck.");

/** Entries that concern the job itself; the find engine knows nothing of them. */
export const jobEntrySchemas = [
  setupSchema,
  closedSchema,
  reopenedSchema,
  cannotSchema,
  connectionSchema,
  deckMeasurementSchema,
] as const;

export const jobEntrySchema = z.discriminatedUnion("kind", [...jobEntrySchemas]);
export type JobEntry = z.infer<typeof jobEntrySchema>;
