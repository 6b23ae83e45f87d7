import type { z } from "zod";
import { readCheckedJson } from "../../core/board/read/schema-problems.js";
import { Refusal } from "../jobs/refusal.js";

/**
 * Reads a request's body. Throws `Refusal` with the field, what was expected and the nearest valid name for a body that
 * is no JSON or does not fit. Only such a body is read the slow way, which knows places.
 */
export function readRequest<S extends z.ZodType>(text: string, schema: S): z.output<S> {
  const quick = quickValue(text, schema);
  if (quick !== undefined) return quick.value;
  const { problems } = readCheckedJson(text, schema, {});
  const problem = problems.find(({ severity }) => severity === "error");
  throw new Refusal(
    problem ?? {
      code: "field-invalid",
      severity: "error",
      message: "The request does not have the form it should have.",
      where: {},
    },
  );
}

function quickValue<S extends z.ZodType>(
  text: string,
  schema: S,
): { readonly value: z.output<S> } | undefined {
  try {
    const parsed = schema.safeParse(JSON.parse(text));
    return parsed.success ? { value: parsed.data } : undefined;
  } catch {
    return undefined;
  }
}
