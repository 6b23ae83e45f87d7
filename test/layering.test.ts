import { describe, expect, it } from "vitest";
import { z } from "zod";
import { findImportCycles, findLayerViolations } from "./support/layers.js";
import { isProductSource, readFiles, readRepositoryFile } from "./support/source-files.js";

const product = readFiles("src", isProductSource);
const manifest = z
  .object({ dependencies: z.record(z.string(), z.string()) })
  .parse(JSON.parse(readRepositoryFile("package.json")));
const options = { dependencies: new Set(Object.keys(manifest.dependencies)) };

describe("the product's sources", () => {
  it("are found", () => {
    expect([...product.keys()]).toContain("src/core/board/board.ts");
  });

  it("import only what the folder table allows", () => {
    expect(findLayerViolations(product, options)).toEqual([]);
  });

  it("do not import each other in a ring", () => {
    expect(findImportCycles(product)).toEqual([]);
  });
});

/** Planted files, one a line: `path | text`. */
function files(...lines: string[]): Map<string, string> {
  return new Map(
    lines.map((line) => {
      const [path = "", text = ""] = line.split(" | ");
      return [path, text];
    }),
  );
}

function violations(...lines: string[]): string[] {
  return findLayerViolations(files(...lines), { dependencies: new Set(["zod", "commander"]) });
}

describe("the check of the folder table", () => {
  it.each([
    ["core/find uses inference", 'src/core/find/a.ts | import { b } from "../inference/b.js";'],
    ["core/find uses a folder inside board", 'src/core/find/a.ts | import { b } from "../board/read/b.js";'],
    ["a neighbour file", 'src/core/inference/a.ts | import { b } from "./deep/b.js";'],
    ["job uses a type of find", 'src/core/job/a.ts | import type { B } from "../find/b.js";'],
    ["the core uses zod", 'src/core/board/a.ts | import { z } from "zod";'],
    ["the core's entry uses every folder", 'src/core/index.ts | export * from "./find/a.js";'],
    [
      "cli uses app, a package and a Node module",
      'src/cli/a.ts | import "../app/b.js"; import "commander"; import "node:fs";',
    ],
    [
      "cli uses the error catalogue",
      'src/cli/a.ts | import { BoardwakeError } from "../core/base/errors.js";',
    ],
    ["the start file opens the store", 'src/cli/main.ts | import { open } from "../store/open.js";'],
    ["web uses a shape of the interface", 'src/web/a.ts | import { b } from "../app/api/b.js";'],
    ["web uses a package that is bundled", 'src/web/a.tsx | import { useState } from "react";'],
    [
      "web uses a type of app",
      'src/web/a.tsx | import type { Answer } from "../app/api.js"; const a = <p>{1}</p>;',
    ],
  ])("accepts: %s", (_, line) => {
    expect(violations(line)).toEqual([]);
  });

  it.each([
    [
      "inference knows electronics",
      'src/core/inference/a.ts | import { b } from "../board/b.js";',
      "core/inference may not import core/board",
    ],
    [
      "a type counts as an import",
      'src/core/inference/a.ts | import type { B } from "../board/b.js";',
      "core/inference may not import core/board",
    ],
    [
      "an import type",
      'src/core/base/a.ts | export type A = import("../board/b.js").B;',
      "core/base may not import core/board",
    ],
    [
      "a re-export",
      'src/core/base/a.ts | export * from "../board/b.js";',
      "core/base may not import core/board",
    ],
    [
      "a late import",
      'src/core/base/a.ts | const b = await import("../board/b.js");',
      "core/base may not import core/board",
    ],
    ["a computed import", "src/core/base/a.ts | const b = await import(name);", "computed"],
    [
      "job uses a value of find",
      'src/core/job/a.ts | import { b } from "../find/b.js";',
      "core/job may not import core/find",
    ],
    [
      "the core uses app",
      'src/core/find/a.ts | import { b } from "../../app/b.js";',
      "core/find may not import app",
    ],
    ["a barrel in the core", 'src/core/find/a.ts | import { b } from "../board/index.js";', "barrel"],
    ["the core's own entry", 'src/core/find/a.ts | import { b } from "../index.js";', "barrel"],
    [
      "another package in the core",
      'src/core/board/a.ts | import "commander/deep";',
      "may not use the package commander",
    ],
    [
      "a Node module in the core",
      'src/core/board/a.ts | import { readFileSync } from "node:fs";',
      "Node module",
    ],
    [
      "a Node module under its old name",
      'src/core/board/a.ts | import { readFileSync } from "fs";',
      "Node module",
    ],
    [
      "a Node module in app",
      'src/app/a.ts | import { join } from "node:path";',
      "app may not use the Node module",
    ],
    ["web uses a value of app", 'src/web/a.ts | import { b } from "../app/b.js";', "web may not import app"],
    ["a bundled package outside the page", 'src/cli/a.ts | import "react";', "not among the dependencies"],
    ["an undeclared package", 'src/cli/a.ts | import "left-out";', "not among the dependencies"],
    [
      "cli uses a core value",
      'src/cli/a.ts | import { b } from "../core/find/b.js";',
      "cli may not import core/find",
    ],
    [
      "cli opens the store outside its start file",
      'src/cli/find.ts | import { open } from "../store/open.js";',
      "cli may not import store",
    ],
    [
      "app opens the store itself",
      'src/app/a.ts | import { open } from "../store/open.js";',
      "app may not import store",
    ],
    ["an unknown folder of the core", "src/core/helpers/a.ts | export {};", "not in the folder table"],
    ["a file beside the core's folders", "src/core/a.ts | export {};", "not in the folder table"],
    ["an unknown folder", "src/common/a.ts | export {};", "not in the folder table"],
    ["data compiled in", 'src/core/board/a.ts | import d from "../../../data/sources.json";', "outside src"],
    ["a test as a library", 'src/core/board/a.ts | import { b } from "./b.test.js";', "imports the test"],
  ])("rejects: %s", (_, line, reason) => {
    const found = violations(line);
    expect(found).toHaveLength(1);
    expect(found[0]).toContain(reason);
  });

  it("names file and line", () => {
    const planted = new Map([["src/core/base/a.ts", '// first line\nimport { b } from "../cpu/b.js";\n']]);
    expect(findLayerViolations(planted, options)).toEqual([
      "src/core/base/a.ts:2: core/base may not import core/cpu (src/core/cpu/b.ts)",
    ]);
  });
});

describe("the search for rings", () => {
  it("finds none in a diamond", () => {
    const diamond = files(
      'a.ts | import "./b.js"; import "./c.js";',
      'b.ts | import "./d.js";',
      'c.ts | import "./d.js";',
      "d.ts | ",
    );
    expect(findImportCycles(diamond)).toEqual([]);
  });

  it("finds a ring of three behind a file that is not in it", () => {
    const ring = files(
      'a.ts | import "./b.js";',
      'b.ts | import "./c.js";',
      'c.ts | import type { D } from "./d.js";',
      'd.ts | export * from "./b.js";',
    );
    expect(findImportCycles(ring)).toEqual(["b.ts -> c.ts -> d.ts -> b.ts"]);
  });

  it("finds two rings and a file that imports itself", () => {
    const rings = files(
      'a.ts | import "./b.js";',
      'b.ts | import "./a.js"; import "./c.js";',
      'c.ts | import "./d.js";',
      'd.ts | import "./c.js";',
      'e.ts | import "./e.js";',
    );
    expect(findImportCycles(rings).sort()).toEqual([
      "a.ts -> b.ts -> a.ts",
      "c.ts -> d.ts -> c.ts",
      "e.ts -> e.ts",
    ]);
  });
});
