import { z } from "zod";
import { newTypeSchema, typeDetailSchema, typeSummarySchema } from "../../app/api/own-types.js";
import { doneSchema } from "../../app/api/shapes.js";
import { type Endpoint, endpoint, takesNothing } from "./endpoint.js";

const typeName = z.object({ name: z.string().min(1).max(200) });

/** Part types: those that came with the program, and those of one's own. */
export const typeEndpoints: readonly Endpoint[] = [
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/types",
      summary: "All part types by name",
      tag: "boards",
      access: "paired",
      answer: z.array(typeSummarySchema),
      errors: [],
    },
    ({ types }) => ({ body: types.list() }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/types/{name}",
      summary: "A part type: pins, supply, behaviour",
      tag: "boards",
      access: "paired",
      params: typeName,
      answer: typeDetailSchema,
      errors: ["type-unknown"],
    },
    ({ types }, { params }) => ({ body: types.get(params.name) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/types",
      summary: "Add a part type, or put it in the place of the one of its name",
      tag: "boards",
      access: "paired",
      body: newTypeSchema,
      answer: typeDetailSchema,
      errors: [],
    },
    ({ types, hub }, { body }) => {
      types.set(body.type);
      hub.send({ type: "boards" });
      return { body: types.get(body.type.type) };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "DELETE",
      path: "/types/{name}",
      summary: "Take a part type of one's own away; an installed one of its name counts again",
      tag: "boards",
      access: "paired",
      params: typeName,
      answer: doneSchema,
      errors: ["type-unknown", "input-invalid"],
    },
    ({ types, hub }, { params }) => {
      types.remove(params.name);
      hub.send({ type: "boards" });
      return { body: { done: true as const } };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/own-types",
      summary: "All part types of one's own as a file, to be given to others",
      tag: "boards",
      access: "paired",
      answer: z.unknown().describe("A file of part types."),
      errors: [],
    },
    ({ types }) => ({
      raw: { type: "application/json; charset=utf-8", bytes: types.file() },
      headers: { "content-disposition": 'attachment; filename="own.types.json"' },
    }),
  ),
];
