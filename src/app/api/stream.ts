import { z } from "zod";
import { logLineSchema } from "./entry.js";
import { findingsSchema } from "./findings.js";
import { jobSummarySchema } from "./jobs.js";
import { clientIdSchema, revisionSchema } from "./shapes.js";

/**
 * Events of `GET /stream` (server-sent events; each `data` line is one of these as JSON). After a lost connection the
 * stream begins anew with `hello`, which tells what has to be fetched again.
 */
export const streamEventSchema = z.discriminatedUnion("type", [
  z.strictObject({
    type: z.literal("hello"),
    version: z.string(),
    jobs: z.array(z.strictObject({ id: clientIdSchema, revision: revisionSchema })),
  }),
  z.strictObject({
    type: z.literal("job"),
    id: clientIdSchema,
    revision: revisionSchema,
    summary: jobSummarySchema,
    lines: z
      .array(logLineSchema)
      .describe("New lines; the one before them has number `lines[0].number - 1`."),
    struck: z.array(z.number().int()).describe("Numbers of all entries that are struck out now."),
  }),
  z.strictObject({
    type: z.literal("findings"),
    id: clientIdSchema,
    revision: revisionSchema,
    findings: findingsSchema,
  }),
  z.strictObject({
    type: z.literal("progress"),
    id: clientIdSchema.describe("The job, or the practice game, that is being worked on."),
    share: z.number().min(0).max(1),
    doing: z.string().describe("What is being done, in a few words."),
  }),
  z.strictObject({
    type: z.literal("stopped"),
    id: clientIdSchema,
    revision: revisionSchema,
    code: z.string(),
    message: z.string().describe("Why there are no findings: cancelled, or something went wrong."),
  }),
  z
    .strictObject({ type: z.literal("boards") })
    .describe("A board or a part type of one's own was added, changed or taken away."),
  z
    .strictObject({ type: z.literal("photos"), id: clientIdSchema })
    .describe("A picture of the job's board was brought, marked or taken away."),
  z.strictObject({ type: z.literal("devices") }).describe("A device was paired or let go."),
]);
export type StreamEvent = z.infer<typeof streamEventSchema>;
