import { z } from "zod";

/** A list whose items no reader of the output may change. */
export function listOf<T extends z.ZodType>(item: T): z.ZodReadonly<z.ZodArray<T>> {
  return z.array(item).readonly();
}

/** A share of belief. */
export const probability = z.number().min(0).max(1);

/** Something wrong with what was given. */
export const problemSchema = z.strictObject({
  code: z.string().describe("Stable name of the kind of problem."),
  severity: z.enum(["error", "warning"]),
  message: z.string().describe("One sentence: what is wrong and what was expected."),
  where: z
    .strictObject({
      file: z.string().optional(),
      line: z.number().int().optional().describe("The first is 1."),
      column: z.number().int().optional().describe("The first is 1."),
      field: z.string().optional().describe("Path of names and positions, as `entries[3].at`."),
      byte: z.number().int().optional().describe("Offset in a binary file; the first is 0."),
      seconds: z.number().optional().describe("Place in a recording, from its beginning."),
    })
    .describe("As much of the place as is known."),
  hint: z.string().optional().describe("What to do next."),
});

/** Problems of what was given; part of every output. */
export const problemsField = listOf(problemSchema).describe(
  "Problems of what was given. With an error among them there is nothing but this list, and the exit code is 3.",
);

/** Printed instead of a result when an operation could not be done at all. */
export const errorOutputSchema = z.strictObject({
  error: z.strictObject({
    code: z.string().describe("As the page of errors lists them."),
    message: z.string(),
  }),
  problems: listOf(problemSchema).describe("Empty."),
});
