import { spawnSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import ts from "typescript";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { findImportCycles, findLayerViolations } from "./support/layers.js";
import { findImpurities } from "./support/purity.js";
import { isProductSource, readFiles, readRepositoryFile, repositoryRoot } from "./support/source-files.js";

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

  it("read no clock, no randomness and no host inside the core", () => {
    const core = [...product].filter(([path]) => path.startsWith("src/core/"));
    expect(core.flatMap(([path, text]) => findImpurities(path, text))).toEqual([]);
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

describe("the check of purity", () => {
  it.each([
    "Date.now()",
    'Date["now"]()',
    "new Date()",
    "new Date",
    "new Date(...parts)",
    "new Date(1981, 3, 1)",
    "Date()",
    "const clock = Date",
    "const { now } = Date",
    "Math.random()",
    'Math["random"]()',
    "const { random } = Math",
    "const m = Math; m.random()",
    "const key = 'random'; Math[key]()",
    "use({ Math })",
    "globalThis.Math.random()",
    "process.pid",
    "const f = () => process",
    "const { pid } = process",
    "console.log(1)",
    "performance.now()",
    "setTimeout(f, 1)",
    "crypto.getRandomValues(a)",
    "eval('1')",
    "new Function('return 1')",
    "new Intl.NumberFormat()",
    "import.meta.url",
    "a.localeCompare(b)",
    "n.toLocaleString()",
    "d.getHours()",
  ])("flags: %s", (text) => {
    expect(findImpurities("planted.ts", text).length).toBeGreaterThan(0);
  });

  it.each([
    "Math.max(1, 2) + Math['PI']",
    "new Date(0).toISOString()",
    "Date.UTC(1981, 3)",
    "a instanceof Date",
    "let d: Date | undefined; let m: typeof Math",
    "// Date.now() and Math.random()",
    "const s = 'Math.random()'",
    "const window = hann(8); window.length",
    "function f(process: Step) { return process.next }",
    "part.process.console = { performance: 1, fetch() { return 1 } }",
    "interface A { process: number }",
    "const { process: step } = part; step.next",
  ])("accepts: %s", (text) => {
    expect(findImpurities("planted.ts", text)).toEqual([]);
  });

  it("names file and line", () => {
    expect(findImpurities("a.ts", "const a = 1;\nconst b = Math.random();")).toEqual([
      "a.ts:2: Math.random is not seeded",
    ]);
  });
});

describe("the compiler configuration of the core", () => {
  it.each(["process.pid", "console.log(1)", "document.title", "performance.now()", "setTimeout(() => 1, 1)"])(
    "rejects %s",
    (text) => {
      expect(coreDiagnostics(`export const planted = ${text};`)).toMatch(/Cannot find name/);
    },
  );

  it("rejects a Node module", () => {
    expect(coreDiagnostics('export { readFileSync } from "node:fs";')).toMatch(/node:fs/);
  });

  it("accepts a pure file", () => {
    expect(coreDiagnostics("export const planted = Math.max(1, 2);")).toBe("");
  });
});

/** What the compiler says about a planted core file under tsconfig.core.json. */
function coreDiagnostics(text: string): string {
  const config = ts.getParsedCommandLineOfConfigFile(join(repositoryRoot, "tsconfig.core.json"), undefined, {
    ...ts.sys,
    onUnRecoverableConfigFileDiagnostic: (diagnostic) => {
      throw new Error(ts.flattenDiagnosticMessageText(diagnostic.messageText, "\n"));
    },
  });
  if (config === undefined) throw new Error("tsconfig.core.json cannot be read");
  const path = join(repositoryRoot, "src/core/base/planted.ts");
  const host = ts.createCompilerHost(config.options);
  const { fileExists, readFile } = host;
  host.fileExists = (name) => name === path || fileExists(name);
  host.readFile = (name) => (name === path ? text : readFile(name));
  const program = ts.createProgram([path], config.options, host);
  return ts
    .getPreEmitDiagnostics(program)
    .map((diagnostic) => ts.flattenDiagnosticMessageText(diagnostic.messageText, "\n"))
    .join("\n");
}

describe("the lint configuration of the core", () => {
  it("bars the host's globals in the core and only there", () => {
    const folder = mkdtempSync(join(tmpdir(), "boardwake-lint-"));
    try {
      copyFileSync(join(repositoryRoot, "biome.json"), join(folder, "biome.json"));
      for (const place of ["src/core/base", "src/cli"]) {
        mkdirSync(join(folder, place), { recursive: true });
        writeFileSync(join(folder, place, "planted.ts"), "export const planted = process.pid;\n");
      }
      const biome = join(repositoryRoot, "node_modules/.bin/biome");
      const run = spawnSync(biome, ["lint", "--colors=off", "."], { cwd: folder, encoding: "utf8" });
      expect(run.status).toBe(1);
      expect(run.stdout + run.stderr).toContain(
        "src/core/base/planted.ts:1:24 lint/style/noRestrictedGlobals",
      );
      expect(run.stdout + run.stderr).not.toContain("src/cli/planted.ts");
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
