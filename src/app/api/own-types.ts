import { z } from "zod";
import { expressionSchema } from "../../core/board/expression.js";
import { partTypeSchema } from "../../core/board/part-type.js";

/** A function of pin levels in a part type; it may hold others of its kind, so the description of the API names it. */
export const typeExpressionSchema = expressionSchema;

/** A part type in the list. */
export const typeSummarySchema = z.strictObject({
  type: z.string(),
  title: z.string(),
  package: z.string(),
  own: z.boolean().describe("True for a type that was added or corrected here."),
});
export type TypeSummary = z.infer<typeof typeSummarySchema>;

/** A part type to be added, or to stand in the place of the one of its name. */
export const newTypeSchema = z.strictObject({ type: partTypeSchema });
export type NewType = z.input<typeof newTypeSchema>;

/** A part type as the page shows and edits it. */
export const typeDetailSchema = z.strictObject({ type: partTypeSchema, own: z.boolean() });
export type TypeDetail = z.infer<typeof typeDetailSchema>;
