import { z } from "zod";
import type { GeneratedFile } from "./generated-files.js";
import { type FileKind, fileKinds } from "./schema-registry.js";

/** The JSON Schema (draft 2020-12) of every kind of file, as data/schema/<name>.json should hold it. */
export function renderSchemas(kinds: readonly FileKind[] = fileKinds): GeneratedFile[] {
  return kinds.map((kind) => {
    const { $schema, ...rest } = z.toJSONSchema(kind.schema, { target: "draft-2020-12", io: "input" });
    const schema = { $schema, title: kind.title, ...rest };
    return { path: `data/schema/${kind.name}.json`, text: `${JSON.stringify(schema, null, 2)}\n` };
  });
}
