import { z } from "zod";
import { sections } from "../../core/board/board.js";
import { clientIdSchema, revisionSchema } from "./shapes.js";

const probability = z.number().min(0).max(1);

/** What one pin shows. */
const shownSchema = z.strictObject({
  shows: z.string().describe("What an instrument would see, in words; alternatives joined by `or`."),
  wrong: z.boolean().describe("True if the information on the line is wrong although it may look right."),
  differs: z
    .boolean()
    .describe("True if an instrument would see something else than on the healthy machine."),
});

/** A part looked at closely: its legs, what each should show, and what it would show for the leading suspects. */
export const partPageSchema = z.strictObject({
  job: clientIdSchema,
  revision: revisionSchema,
  ref: z.string(),
  type: z.string(),
  title: z.string(),
  value: z.string().optional(),
  section: z.enum(sections),
  socketed: z.boolean(),
  package: z.string(),
  probability: probability.describe("Chance that it is at fault."),
  suspects: z
    .array(
      z.strictObject({
        part: z.string(),
        mode: z.string(),
        says: z.string().describe("The fault in a few words."),
        probability,
      }),
    )
    .describe("Leading faults; `ifSuspect` of each pin is in their order."),
  pins: z.array(
    z.strictObject({
      pin: z.string(),
      name: z.string(),
      kind: z.string().describe("power, ground, in, out, tri, oc, bidir, passive or nc."),
      net: z.string().nullable(),
      healthy: z.strictObject({
        shows: z.string(),
        hertz: z.number().nullable().describe("Rate on the healthy machine, where one is known."),
      }),
      ifSuspect: z.array(shownSchema),
      readings: z.array(z.number().int()).describe("Numbers of standing log entries that read this line."),
    }),
  ),
});
export type PartPage = z.infer<typeof partPageSchema>;
