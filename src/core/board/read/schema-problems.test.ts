import { describe, expect, it } from "vitest";
import { z } from "zod";
import { readCheckedJson } from "./schema-problems.js";

const shapes = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("circle"), radius: z.number() }),
  z.strictObject({ kind: z.enum(["square", "rhombus"]), side: z.number() }),
]);
const drawing = z.strictObject({ shapes: z.array(shapes) });

function problemOf(shape: object): { message?: string; field?: string; hint?: string } {
  const { problems } = readCheckedJson(JSON.stringify({ shapes: [shape] }), drawing);
  const [first] = problems;
  return {
    ...(first === undefined ? {} : { message: first.message }),
    ...(first?.where.field === undefined ? {} : { field: first.where.field }),
    ...(first?.hint === undefined ? {} : { hint: first.hint }),
  };
}

describe("problems with shapes told apart by a field", () => {
  it("name the kinds there are, and the nearest one", () => {
    expect(problemOf({ kind: "sqare", side: 1 })).toEqual({
      field: "shapes[0].kind",
      message: "Expected one of circle, square, rhombus, got 'sqare'.",
      hint: "Did you mean 'square'?",
    });
  });

  it("say that the kind is missing", () => {
    expect(problemOf({ side: 1 }).message).toBe(
      "The field 'shapes[0].kind' is missing; expected one of circle, square, rhombus.",
    );
  });

  it("name the fields of the kind that is claimed, not of another", () => {
    expect(problemOf({ kind: "rhombus", side: 1, sidee: 2 })).toEqual({
      field: "shapes[0].sidee",
      message: "There is no field called 'sidee' here. Fields here: kind, side.",
      hint: "Did you mean 'side'?",
    });
    expect(problemOf({ kind: "circle", radius: 1, side: 2 }).message).toBe(
      "There is no field called 'side' here. Fields here: kind, radius.",
    );
  });
});
