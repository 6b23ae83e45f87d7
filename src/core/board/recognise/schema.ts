import { z } from "zod";
import { sections } from "../board.js";
import { failureFamilies, sourceReferenceSchema } from "../part-type.js";

const glob = z
  .string()
  .min(1)
  .max(60)
  .describe("Name pattern, letters of either case: `*` stands for any characters, `#` for one digit.");
const globs = z.array(glob).min(1);
const typeName = z.string().min(1).describe("Name of a part type.");
const pinNumber = z.string().min(1);
const head = {
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1).describe("What the names and numbers were taken from."),
};

const logicSchema = z.strictObject({
  ...head,
  kind: z.literal("logic"),
  series: z
    .array(z.string().regex(/^[0-9]{2}$/))
    .min(1)
    .describe("First digits of the number; the first entry is the one our type names use."),
  families: z
    .array(
      z.strictObject({
        letters: z
          .string()
          .regex(/^[A-Z]{0,4}$/)
          .describe("Letters between series and number; empty for the plain family."),
        instead: z
          .array(z.string())
          .describe("Families to take where the library lacks the number in this one, best first."),
      }),
    )
    .min(1),
});

const chipsSchema = z.strictObject({
  ...head,
  kind: z.literal("chips"),
  makerPrefixes: z
    .array(z.string().regex(/^[A-Z][A-Z0-9]{0,3}$/))
    .describe("Letters makers put before an industry number."),
  neverChips: z
    .array(z.string().regex(/^[A-Z]{1,6}$/))
    .describe(
      "Letters of references that are no chip, whatever number their value shows (a connector may be called after a chip).",
    ),
  chips: z.array(
    z.strictObject({
      types: z
        .array(typeName)
        .min(1)
        .describe("Part types, best first; the first one the library has is taken."),
      stems: z
        .array(z.string().regex(/^[A-Z0-9#]{3,20}$/))
        .min(1)
        .describe(
          "Number without maker's letters, package and speed suffixes; `#` stands for one digit. Signs between its letters and digits are ignored.",
        ),
    }),
  ),
});

const plainRuleSchema = z.strictObject({
  types: z.array(typeName).describe("Part types, best first; empty to leave the component out of the board."),
  libraryParts: globs.optional().describe("Names of schematic symbols."),
  refs: z
    .array(z.string().regex(/^[A-Z]{1,6}$/))
    .min(1)
    .optional()
    .describe("Letters of the reference."),
  values: globs.optional().describe("Values as printed."),
  footprints: globs.optional().describe("Footprints, library and name."),
  pinNumbers: z.array(pinNumber).min(1).optional().describe("Pin numbers the component must not go beyond."),
  minimumFarad: z.number().positive().optional().describe("Capacitance from which on the rule holds."),
  pinsByName: z
    .boolean()
    .optional()
    .describe("The type's pins are found by the symbol's pin names instead of numbers."),
  pinMap: z
    .record(pinNumber, pinNumber)
    .optional()
    .describe("Pin number of the type by pin number of the component."),
  bridges: z
    .array(z.tuple([pinNumber, pinNumber]))
    .optional()
    .describe("Jumpers: pairs of pins that are joined as drawn; none if open."),
  reason: z.string().min(1).describe("What the guess rests on, in a few words."),
  certainty: z.enum(["sure", "likely", "unsure"]),
});

const plainSchema = z.strictObject({
  ...head,
  kind: z.literal("plain"),
  rules: z.array(plainRuleSchema).min(1).describe("Tried in order; a rule holds if all its conditions do."),
});

const netsSchema = z.strictObject({
  ...head,
  kind: z.literal("nets"),
  ground: globs.describe("Names of ground nets."),
  rails: z.array(
    z.strictObject({
      names: globs,
      nominalVolt: z.number(),
      certain: z
        .boolean()
        .describe("False where the name is used for several voltages, so that the chips on the net decide."),
      raw: z.boolean().optional(),
    }),
  ),
  unnamed: globs.describe("Names a schematic program makes up for nets the drawer did not name."),
  activeLow: globs.describe("Names of nets that are active while low."),
  socketFootprints: globs.describe("Footprints of parts in a socket."),
});

const sectionsSchema = z.strictObject({
  ...head,
  kind: z.literal("sections"),
  families: z.array(z.strictObject({ family: z.enum(failureFamilies), section: z.enum(sections) })),
  types: z
    .array(z.strictObject({ types: globs, section: z.enum(sections) }))
    .describe("Exceptions by part type, tried first."),
});

/** One file of `data/recognition/`: how names in a netlist become part types, rails and sections. */
export const recognitionFileSchema = z.discriminatedUnion("kind", [
  logicSchema,
  chipsSchema,
  plainSchema,
  netsSchema,
  sectionsSchema,
]);

export type RecognitionFile = z.infer<typeof recognitionFileSchema>;
export type LogicNames = z.infer<typeof logicSchema>;
export type ChipNames = z.infer<typeof chipsSchema>;
export type PlainRule = z.infer<typeof plainRuleSchema>;
export type NetNames = z.infer<typeof netsSchema>;
export type SectionNames = z.infer<typeof sectionsSchema>;
