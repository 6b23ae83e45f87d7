import { spawnSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import ts from "typescript";
import { describe, expect, it } from "vitest";
import { findImpurities } from "./support/purity.js";
import { isProductSource, readFiles, repositoryRoot } from "./support/source-files.js";

describe("the sources of the core", () => {
  it("read no clock, no randomness and no host", () => {
    const core = readFiles("src/core", isProductSource);
    expect(core.size).toBeGreaterThan(0);
    expect([...core].flatMap(([path, text]) => findImpurities(path, text))).toEqual([]);
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
