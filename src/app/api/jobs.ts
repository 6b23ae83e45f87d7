import { z } from "zod";
import { instruments } from "../../core/find/case/case.js";
import { verdictSchema } from "../../core/job/job-entry.js";
import { logEntrySchema, logLineSchema } from "./entry.js";
import { findingsSchema } from "./findings.js";
import { clientIdSchema, momentSchema, revisionSchema } from "./shapes.js";

const probability = z.number().min(0).max(1);

/** A job in the list. */
export const jobSummarySchema = z.strictObject({
  id: clientIdSchema,
  board: z.string(),
  boardTitle: z.string(),
  title: z.string(),
  state: z.enum(["open", "closed"]),
  openedAt: momentSchema,
  changedAt: momentSchema,
  entries: z.number().int(),
  revision: revisionSchema,
  lead: z
    .strictObject({ part: z.string(), title: z.string(), probability })
    .nullable()
    .describe("Leading suspect as last computed; null if not computed yet."),
  verdict: verdictSchema.nullable(),
  demo: z.boolean().describe("True for a job that came with the program."),
});
export type JobSummary = z.infer<typeof jobSummarySchema>;

/** What opens a job. */
export const newJobSchema = z.strictObject({
  id: clientIdSchema,
  board: z.string().min(1).max(80).describe("Id of the board."),
  title: z.string().trim().min(1).max(200),
  instruments: z.array(z.enum(instruments)).max(instruments.length),
  spares: z.array(z.string().min(1).max(200)).max(500).optional().describe("Part types in the drawer."),
  year: z.number().int().min(1970).max(2200).optional().describe("Year of the repair; this year if absent."),
  priorFactors: z.record(z.string().min(1).max(200), z.number().min(0.001).max(1000)).optional(),
  entries: z
    .array(z.strictObject({ id: clientIdSchema, entry: logEntrySchema }))
    .max(200)
    .default([])
    .describe("Symptoms, history and own work known at the start."),
});
export type NewJob = z.input<typeof newJobSchema>;

/** A job with its log. */
export const jobDetailSchema = z.strictObject({
  job: jobSummarySchema.extend({
    boardVersion: z.number().int().nullable().describe("Null for a board that came with the program."),
    drawing: z
      .string()
      .describe("Address of the job's board below `/api/v1`; it is another one when the board is."),
    instruments: z.array(z.string()),
    spares: z.array(z.string()),
    year: z.number().int().nullable(),
    priorFactors: z.record(z.string(), z.number()),
    cannot: z
      .array(z.strictObject({ step: z.string(), entry: z.number().int() }))
      .describe("Steps that cannot be done here, with the entry that says so."),
  }),
  log: z.array(logLineSchema),
  revision: revisionSchema,
});
export type JobDetail = z.infer<typeof jobDetailSchema>;

/** Answer to a new entry. */
export const entryAnswerSchema = z.strictObject({
  revision: revisionSchema.describe("Of the log with the entry in it."),
  number: z.number().int().min(1),
  line: logLineSchema,
  findings: findingsSchema
    .nullable()
    .describe("Null if working them out takes longer than a tap should: they follow on the stream."),
});
export type EntryAnswer = z.infer<typeof entryAnswerSchema>;

/** Closes a job. */
export const closeJobSchema = z.strictObject({
  id: clientIdSchema.describe("Of the entry that closes it."),
  verdict: verdictSchema,
});

/** Opens a closed job again. */
export const reopenJobSchema = z.strictObject({
  id: clientIdSchema.describe("Of the entry that opens it again."),
  why: z.string().max(2000).optional(),
});

/** A typed line to be understood. */
export const understandSchema = z.strictObject({ text: z.string().max(1000) });

/** What a typed line was taken for. */
export const understoodSchema = z.discriminatedUnion("outcome", [
  z.strictObject({
    outcome: z.literal("entry"),
    entry: logEntrySchema.describe("The entry to send if that is what was meant."),
    says: z.string().describe("The entry in plain words."),
    completions: z.array(z.string()),
  }),
  z.strictObject({
    outcome: z.literal("command"),
    command: z.enum(["undo", "suspects", "groups", "next", "log", "symptoms", "help", "why", "strike"]),
    part: z.string().optional().describe("For `why`."),
    entry: z.number().int().optional().describe("For `strike`."),
    completions: z.array(z.string()),
  }),
  z.strictObject({
    outcome: z.literal("problem"),
    problem: z.string().describe("One sentence."),
    hint: z.string().optional(),
    suggestions: z.array(z.string()).describe("Whole lines that may have been meant."),
    completions: z.array(z.string()).describe("Whole lines that the text may grow into."),
  }),
]);
export type Understood = z.infer<typeof understoodSchema>;
