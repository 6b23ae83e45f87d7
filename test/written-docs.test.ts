import { describe, expect, it } from "vitest";
import { z } from "zod";
import { renderFormatPages } from "../scripts/format-pages.js";
import { findStaleFiles } from "../scripts/generated-files.js";
import { renderGuide } from "../scripts/guide-output.js";
import { listCommands, renderCommands } from "../scripts/render-commands.js";
import { renderFields } from "../scripts/render-fields.js";
import { renderOpenApi } from "../scripts/render-openapi.js";
import { renderSessionPicture } from "../scripts/session-picture.js";
import { valueAt } from "../src/core/board/read/schema-problems.js";
import { endpoints } from "../src/server/http/endpoints.js";
import { readRepositoryFile } from "./support/source-files.js";

describe("the page of commands", () => {
  it("is what the program's help says now", () => {
    expect(findStaleFiles([{ path: "docs/guide/commands.md", text: renderCommands() }])).toEqual([]);
  });

  it("lists the commands there are", () => {
    expect(listCommands().map(({ words }) => words)).toEqual([
      "boardwake",
      "boardwake serve",
      "boardwake find",
      "boardwake board",
      "boardwake board check",
      "boardwake board show",
      "boardwake board import",
      "boardwake board sketch",
      "boardwake board diff",
      "boardwake practice",
      "boardwake memory",
      "boardwake memory explain",
      "boardwake memory simulate",
      "boardwake memory rom",
      "boardwake memory rom build",
      "boardwake memory rom sheet",
      "boardwake memory rom emulate",
      "boardwake memory free-run",
      "boardwake deck",
      "boardwake deck measure",
      "boardwake deck tone",
      "boardwake deck belt",
      "boardwake deck care",
      "boardwake tape",
      "boardwake tape read",
      "boardwake tape combine",
      "boardwake tape write",
      "boardwake tape learn",
      "boardwake tape margin",
      "boardwake job",
      "boardwake job list",
      "boardwake job open",
      "boardwake job show",
      "boardwake job add",
      "boardwake job close",
      "boardwake job export",
      "boardwake demo",
    ]);
  });

  it("fits 80 columns", () => {
    const [, ...blocks] = renderCommands().split("```text\n");
    const lines = blocks.flatMap((block) => (block.split("\n```")[0] ?? "").split("\n"));
    expect(lines.filter((line) => line.length > 80)).toEqual([]);
  });
});

describe("every command", () => {
  it.each(listCommands())("$words says what it and its options do", ({ words, command }) => {
    expect(command.description().length, words).toBeGreaterThan(30);
    expect(command.description()).toMatch(/\.$/);
    if (words !== "boardwake") expect(command.summary().length).toBeGreaterThan(10);
    for (const { flags, description } of command.options) expect(description, flags).not.toBe("");
    for (const argument of command.registeredArguments)
      expect(argument.description, argument.name()).not.toBe("");
  });

  it("shows examples that begin with its own words", () => {
    for (const { words, command } of listCommands()) {
      if (command.commands.length > 0) continue;
      const [, section = ""] = renderCommands().split(`## ${words}\n`);
      const [, shown = ""] = (section.split("\n## ")[0] ?? "").split("Examples:\n");
      const lines = shown.split("\n```")[0]?.split("\n") ?? [];
      expect(lines.length, words).toBeGreaterThan(1);
      expect(lines.filter((line) => !line.startsWith(`  ${words} `) && line !== `  ${words}`)).toEqual([]);
    }
  });
});

describe("the pages of formats", () => {
  it("are what the schemas say now", () => {
    expect(findStaleFiles(renderFormatPages())).toEqual([]);
  });
});

describe("the description of the API", () => {
  it("is what the server checks requests with", () => {
    expect(findStaleFiles([renderOpenApi()])).toEqual([]);
  });

  it("refers only to what it holds", () => {
    const document: unknown = JSON.parse(readRepositoryFile("docs/api/openapi.json"));
    const references = new Set(
      [...JSON.stringify(document).matchAll(/"\$ref":"#\/([^"]+)"/g)].map(([, path]) => path ?? ""),
    );
    expect(references.size).toBeGreaterThan(15);
    const missing = [...references].filter((path) => valueAt(document, path.split("/")) === undefined);
    expect(missing).toEqual([]);
  });

  it("names every endpoint and says what each is for", () => {
    expect(endpoints.length).toBeGreaterThan(20);
    for (const { facts } of endpoints) expect(facts.summary, facts.path).toMatch(/^[A-Z].{10,}/);
    const names = endpoints.map(({ facts }) => `${facts.method} ${facts.path}`);
    expect(new Set(names).size).toBe(names.length);
  });
});

describe("the tables of fields", () => {
  const shape = z.strictObject({
    $schema: z.string().optional(),
    name: z.string().describe("What it is called | or not."),
    count: z.number().int().min(1).max(9).optional(),
    size: z.number().positive(),
    tags: z.array(z.enum(["a", "b"])).default(["a"]),
    spots: z.array(z.strictObject({ x: z.number() })),
    byName: z.record(z.string(), z.array(z.tuple([z.string(), z.string()]))),
    kind: z.discriminatedUnion("kind", [
      z.strictObject({ kind: z.literal("dot") }).describe("A dot."),
      z.strictObject({ kind: z.enum(["line", "arc"]), length: z.number().nullable() }),
    ]),
  });

  it("hold each field once, with its form, and each object under its path", () => {
    expect(renderFields(shape, { direction: "input", level: 2 })).toBe(`| field | form | meaning |
| --- | --- | --- |
| \`name\` | text | What it is called \\| or not. |
| \`count\` (optional) | whole number from 1 to 9 |  |
| \`size\` | number above 0 |  |
| \`tags\` (optional) | list: \`a\`, \`b\`; if absent \`["a"]\` |  |
| \`spots\` | list: object, see below |  |
| \`byName\` | object by name: list: list of 2 |  |
| \`kind\` | object, see below |  |

## \`spots[]\`

| field | form | meaning |
| --- | --- | --- |
| \`x\` | number |  |

## \`kind\` with kind \`dot\`

A dot.

| field | form | meaning |
| --- | --- | --- |
| \`kind\` | \`dot\` |  |

## \`kind\` with kind \`line\`, \`arc\`

| field | form | meaning |
| --- | --- | --- |
| \`kind\` | \`line\`, \`arc\` |  |
| \`length\` | number, or \`null\` |  |
`);
  });

  it("leave out what another page describes", () => {
    const text = renderFields(shape, { direction: "output", level: 2, elsewhere: { spots: "see there" } });
    expect(text).toContain("| `spots` | see there |");
    expect(text).not.toContain("spots[]");
  });
});

describe("what the documentation shows of the program", () => {
  it("is what the program prints now: the guide", async () => {
    expect(findStaleFiles([await renderGuide()])).toEqual([]);
  });

  it("is what the program prints now: the picture in the README", async () => {
    const picture = await renderSessionPicture();
    expect(findStaleFiles([picture])).toEqual([]);
    expect(readRepositoryFile("README.md")).toContain(`](${picture.path})`);
  });
});
