/*
 * Why: the campaign is shared by as many processes as the machine has processors. Each takes every so many-th case.
 */
import { z } from "zod";
import { bedOf, casesOf, judge } from "./cases.js";

const orderSchema = z.strictObject({
  board: z.string(),
  first: z.number().int(),
  step: z.number().int(),
});
export type Order = z.infer<typeof orderSchema>;

/** What became of one case. */
export const caseMessageSchema = z.strictObject({
  group: z.string(),
  title: z.string(),
  outcome: z.enum(["named", "missed", "wrong", "silent"]),
  said: z.string(),
  cycles: z.number(),
});
export type CaseMessage = z.infer<typeof caseMessageSchema>;

process.once("message", (message: unknown) => {
  const { board, first, step } = orderSchema.parse(message);
  const bed = bedOf(board);
  for (const [k, each] of casesOf(bed).entries()) {
    if (k % step !== first) continue;
    const sent: CaseMessage = { group: each.group, title: each.title, ...judge(bed, each) };
    process.send?.(sent);
  }
  setImmediate(() => process.disconnect());
});
