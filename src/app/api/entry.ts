import { z } from "zod";
import { entrySchema } from "../../core/find/case/case.js";
import { jobEntrySchemas } from "../../core/job/job-entry.js";
import { clientIdSchema, momentSchema, revisionSchema } from "./shapes.js";

/** Everything that may stand in a job's log: what was seen and done, and what concerns the job itself. */
export const logEntrySchema = z.discriminatedUnion("kind", [...entrySchema.options, ...jobEntrySchemas]);
export type LogEntry = z.infer<typeof logEntrySchema>;

/** An entry as a client sends it. */
export const newEntrySchema = z.strictObject({
  id: clientIdSchema,
  entry: logEntrySchema,
  after: revisionSchema.optional().describe("Revision that the person who entered it was looking at."),
});
export type NewEntry = z.infer<typeof newEntrySchema>;

/** An entry of the log as it is shown. */
export const logLineSchema = z.strictObject({
  number: z.number().int().min(1).describe("Place in the log; the first is 1. Strikes and findings use it."),
  id: clientIdSchema,
  at: momentSchema.describe("When it was put into the log."),
  entry: logEntrySchema,
  text: z.string().describe("The entry in one line of plain words."),
  struck: z.boolean().describe("True if a later entry strikes it out."),
});
export type LogLine = z.infer<typeof logLineSchema>;
