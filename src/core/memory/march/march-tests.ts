import { z } from "zod";
import { sourceReferenceSchema } from "../../board/part-type.js";
import type { MarchTest } from "./march.js";
import { parseMarch } from "./notation.js";

/** Named march tests as data/memory/march-tests.json holds them. */
export const marchTestsFileSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  tests: z
    .array(
      z.strictObject({
        id: z
          .string()
          .regex(/^[a-z0-9+-]+$/)
          .describe("Name for the command line, e.g. `march-c-`."),
        title: z.string().min(1).describe("Name in the literature, e.g. `March C-`."),
        notation: z
          .string()
          .refine((text) => parseMarch(text).value !== undefined, "a march test such as {⇕(w0);⇕(r0)}")
          .describe("The test, e.g. `{⇕(w0);⇑(r0,w1);⇓(r1,w0)}`."),
        operationsPerAddress: z.number().int().positive().describe("As published: the 10 of 10n."),
        sources: z.array(sourceReferenceSchema).min(1),
      }),
    )
    .min(1),
});

export type MarchTestsFile = z.infer<typeof marchTestsFileSchema>;

/** A march test with its names. */
export interface NamedMarchTest {
  readonly id: string;
  readonly title: string;
  readonly notation: string;
  readonly test: MarchTest;
}

/** The tests of a file, in its order. Throws `RangeError` for a notation that the schema would have rejected. */
export function namedMarchTests({ tests }: MarchTestsFile): NamedMarchTest[] {
  return tests.map(({ id, title, notation }) => {
    const { value } = parseMarch(notation);
    if (value === undefined) throw new RangeError(`march test ${id} cannot be read: ${notation}`);
    return { id, title, notation, test: value };
  });
}

/** The test with this id or title; case, blanks and a leading "March" do not matter. */
export function findMarchTest(tests: readonly NamedMarchTest[], name: string): NamedMarchTest | undefined {
  const wanted = plainName(name);
  return tests.find(({ id, title }) => plainName(id) === wanted || plainName(title) === wanted);
}

function plainName(name: string): string {
  return name
    .toLowerCase()
    .replace(/−/g, "-")
    .replace(/^march(?=[-\s]?[a-z])/, "")
    .replace(/[\s_]/g, "")
    .replace(/^-/, "");
}
