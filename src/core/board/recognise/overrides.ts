import { z } from "zod";
import type { Parsed } from "../../base/problem.js";
import type { JsonOptions } from "../read/json-places.js";
import { readCheckedJson } from "../read/schema-problems.js";

const pin = z.string().min(1);

/** What the user knows better than the guesses: part types by reference, and how jumpers are set. */
export const overridesSchema = z.strictObject({
  $schema: z.string().optional(),
  formatVersion: z.literal(1).optional(),
  types: z
    .record(z.string(), z.string().min(1))
    .optional()
    .describe('Part type by reference, e.g. `{ "U9": "16V8" }`.'),
  jumpers: z
    .record(z.string(), z.array(z.tuple([pin, pin])))
    .optional()
    .describe(
      'Joined pins by reference, e.g. `{ "JP3": [["2", "3"]] }`; an empty list leaves the jumper open. Any component may be named.',
    ),
});

export type ImportOverrides = z.infer<typeof overridesSchema>;

/** Reads an overrides file; problems carry line and field. */
export function parseOverrides(text: string, options: JsonOptions = {}): Parsed<ImportOverrides> {
  const read = readCheckedJson(text, overridesSchema, options);
  return read.value === undefined
    ? { problems: read.problems }
    : { value: read.value.value, problems: read.problems };
}
