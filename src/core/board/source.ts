import { z } from "zod";

/** A publication, or another origin, that data files draw on. */
export const sourceSchema = z.strictObject({
  id: z
    .string()
    .regex(/^[a-z0-9][a-z0-9-]*$/)
    .describe("Name by which data files refer to the source."),
  title: z.string().min(1).describe("Title as published, or what it is."),
  edition: z.string().min(1).describe("Edition, revision or date; `none` if it has none."),
  where: z.string().min(1).describe("Where it can be found, or why it cannot."),
  licence: z
    .string()
    .min(1)
    .refine((text) => !/^(unknown|none|\?)/i.test(text), "state the licence; an unknown one bars the source")
    .describe("Licence or legal standing of what was taken from it."),
});

/** The file data/sources.json: every source that a data file names, sorted by id. */
export const sourceFileSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceSchema).min(1),
});

/** An entry of data/sources.json. */
export type Source = z.infer<typeof sourceSchema>;
