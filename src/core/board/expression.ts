import { z } from "zod";

/**
 * A Boolean function of pin levels, written as nested lists so that pin names may hold any character:
 * a pin name, `true` or `false`, or an operator with its operands.
 * A pin name stands for its electrical level: `"/G"` is true when pin /G is high.
 */
export type Expression =
  | string
  | boolean
  | readonly ["not", Expression]
  | readonly ["and", ...Expression[]]
  | readonly ["or", ...Expression[]]
  | readonly ["xor", ...Expression[]]
  /** `["mux", select, whenLow, whenHigh]` */
  | readonly ["mux", Expression, Expression, Expression];

export const expressionSchema: z.ZodType<Expression> = z.lazy(() =>
  z.union([
    z.string().min(1),
    z.boolean(),
    z.tuple([z.literal("not"), expressionSchema]),
    z.tuple([z.literal("and"), expressionSchema, expressionSchema], expressionSchema),
    z.tuple([z.literal("or"), expressionSchema, expressionSchema], expressionSchema),
    z.tuple([z.literal("xor"), expressionSchema, expressionSchema], expressionSchema),
    z.tuple([z.literal("mux"), expressionSchema, expressionSchema, expressionSchema]),
  ]),
);

/** Names of all pins the expression reads, each once, in order of appearance. */
export function expressionPins(expression: Expression): string[] {
  const names = new Set<string>();
  collectPins(expression, names);
  return [...names];
}

function collectPins(expression: Expression, into: Set<string>): void {
  if (typeof expression === "boolean") return;
  if (typeof expression === "string") {
    into.add(expression);
    return;
  }
  const [, ...operands] = expression;
  for (const operand of operands) collectPins(operand, into);
}

/** Value of the expression for definite pin levels; throws `RangeError` if `levelOf` knows no level for a pin. */
export function evaluateExpression(expression: Expression, levelOf: (pin: string) => boolean): boolean {
  if (typeof expression === "boolean") return expression;
  if (typeof expression === "string") return levelOf(expression);
  const value = (operand: Expression): boolean => evaluateExpression(operand, levelOf);
  switch (expression[0]) {
    case "not":
      return !value(expression[1]);
    case "and":
      return expression.slice(1).every((operand) => value(operand));
    case "or":
      return expression.slice(1).some((operand) => value(operand));
    case "xor":
      return expression.slice(1).reduce<boolean>((parity, operand) => parity !== value(operand), false);
    case "mux":
      return value(expression[1]) ? value(expression[3]) : value(expression[2]);
  }
}
