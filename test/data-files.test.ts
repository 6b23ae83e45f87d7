import { describe, expect, it } from "vitest";
import { z } from "zod";
import { findStaleFiles } from "../scripts/generated-files.js";
import { renderSchemas } from "../scripts/render-schemas.js";
import { type FileKind, fileKinds } from "../scripts/schema-registry.js";
import { sourceFileSchema } from "../src/core/board/source.js";
import { findDataFlaws, usedSources } from "./support/data-files.js";
import { isProductSource, readFiles, readRepositoryFile } from "./support/source-files.js";

const dataFiles = readFiles("data", (path) => path.endsWith(".json") && !path.startsWith("data/schema/"));
const { sources } = sourceFileSchema.parse(JSON.parse(readRepositoryFile("data/sources.json")));
const context = { kinds: fileKinds, sourceIds: new Set(sources.map((source) => source.id)) };

describe("the data files", () => {
  it("include the sources and the part types", () => {
    expect([...dataFiles.keys()]).toContain("data/sources.json");
    expect([...dataFiles.keys()].some((path) => path.startsWith("data/part-types/"))).toBe(true);
  });

  it.each([...dataFiles.keys()])(
    "%s names its schema, fits it, is in order and knows its sources",
    (path) => {
      expect(findDataFlaws(path, dataFiles.get(path) ?? "", context)).toEqual([]);
    },
  );

  it.each([...dataFiles.keys()])("%s fits the written JSON Schema too", (path) => {
    const content: unknown = JSON.parse(dataFiles.get(path) ?? "");
    const { $schema } = z.looseObject({ $schema: z.string() }).parse(content);
    const written: unknown = JSON.parse(readRepositoryFile(`data/schema/${$schema.split("/").at(-1)}`));
    const schema = z.fromJSONSchema(z.looseObject({}).parse(written));
    expect(schema.safeParse(content).error?.issues ?? []).toEqual([]);
  });
});

describe("the JSON Schemas", () => {
  it("are as the zod schemas give them now", () => {
    expect(findStaleFiles(renderSchemas())).toEqual([]);
  });

  it("cover every schema of a whole file that the core exports", () => {
    // A schema of a whole file begins with the field $schema, or is a union of such schemas and named for it.
    const declaration = /^export const (\w+FileSchema\b|\w+(?= = z\s*\.\w+\(\{\s*\$schema))/gm;
    const exported = new Set<string>();
    for (const text of readFiles("src/core", isProductSource).values()) {
      for (const [, name = ""] of text.matchAll(declaration)) exported.add(name);
    }
    expect([...exported]).toEqual(expect.arrayContaining(["boardSchema", "partTypeFileSchema"]));
    const registry = readRepositoryFile("scripts/schema-registry.ts");
    expect([...exported].filter((name) => !registry.includes(`schema: ${name},`))).toEqual([]);
  });

  it("are found stale after a change", () => {
    const [first] = renderSchemas();
    expect(findStaleFiles([{ path: first?.path ?? "", text: "{}\n" }])).toEqual([first?.path]);
    expect(findStaleFiles([{ path: "data/schema/no-such-kind.json", text: "{}\n" }])).toHaveLength(1);
  });
});

describe("the check of a data file", () => {
  const kind: FileKind = {
    name: "shelf",
    title: "A shelf",
    schema: z.strictObject({
      $schema: z.string(),
      items: z.array(
        z.strictObject({ id: z.string(), sources: z.array(z.strictObject({ id: z.string() })) }),
      ),
    }),
    sorted: [{ list: "items", by: "id" }],
  };
  const planted = { kinds: [kind], sourceIds: new Set(["book"]) };
  const shelf = (schema: string | undefined, ...items: [id: string, source: string][]): string =>
    JSON.stringify({
      $schema: schema,
      items: items.map(([id, source]) => ({ id, sources: [{ id: source }] })),
    });
  const flawsOf = (text: string): string[] => findDataFlaws("data/shelves/a.json", text, planted);

  it("accepts a sound file", () => {
    expect(flawsOf(shelf("../schema/shelf.json", ["a", "book"], ["b", "book"]))).toEqual([]);
  });

  it.each([
    ["no JSON", "{", "is no JSON"],
    ["no schema", shelf(undefined), "names no $schema"],
    ["a schema elsewhere", shelf("schema/shelf.json"), "is none of data/schema"],
    ["an unknown field", '{"$schema":"../schema/shelf.json","items":[],"colour":"red"}', "colour"],
    ["disorder", shelf("../schema/shelf.json", ["b", "book"], ["a", "book"]), "a must stand before b"],
    ["an item given twice", shelf("../schema/shelf.json", ["a", "book"], ["a", "book"]), "a is given twice"],
    ["an unknown source", shelf("../schema/shelf.json", ["a", "rumour"]), "the source rumour is not in"],
  ])("rejects %s", (_, text, reason) => {
    expect(flawsOf(text).join("\n")).toContain(reason);
  });

  it("finds sources at any depth, in each way of naming them", () => {
    const content = { a: [{ source: "x" }], b: { sources: [{ id: "y" }], c: { source: { id: "z" } } } };
    expect([...usedSources(content)].sort()).toEqual(["x", "y", "z"]);
  });

  it("rejects a source without a stated licence", () => {
    const source = { id: "x", title: "X", edition: "none", where: "here", licence: "unknown" };
    expect(sourceFileSchema.safeParse({ $schema: "", formatVersion: 1, sources: [source] }).success).toBe(
      false,
    );
  });
});
