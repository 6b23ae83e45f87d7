import { z } from "zod";

/** Id that a client makes for something it adds, so that sending it twice adds it once: a UUID in lower case. */
export const clientIdSchema = z
  .string()
  .regex(/^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/)
  .describe("UUID in lower case, made by the client; sent twice, it adds once.");

/** A moment: ISO 8601 in UTC, as `2026-03-01T10:00:00.000Z`. */
export const momentSchema = z.string().describe("ISO 8601 in UTC.");

/** Number of entries in a job's log. It only grows; two equal revisions of a job mean the same log. */
export const revisionSchema = z.number().int().min(0).describe("Number of entries in the log.");

/** Something a request named that could not be used. */
export const errorBodySchema = z.strictObject({
  error: z.strictObject({
    code: z
      .string()
      .describe("As the page of errors lists them, or the code of a problem of what was given."),
    message: z.string().describe("One sentence."),
    where: z.string().optional().describe("Field of the request, as `entry.at`."),
    hint: z.string().optional().describe("What to do next, one sentence."),
    suggestions: z.array(z.string()).optional().describe("Nearest known names, best first."),
  }),
});
export type ErrorBody = z.infer<typeof errorBodySchema>;

/** Answer of a request that has nothing to tell. */
export const doneSchema = z.strictObject({ done: z.literal(true) });
