import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { findCommands } from "../scripts/find-commands.js";
import { readRepositoryFile, repositoryRoot } from "./support/source-files.js";

const { scripts } = z
  .object({ scripts: z.record(z.string(), z.string()) })
  .parse(JSON.parse(readRepositoryFile("package.json")));
const readme = findCommands(readRepositoryFile("README.md"), "sh");
const contributing = readRepositoryFile("CONTRIBUTING.md");

describe("the commands people are told to run", () => {
  it("are two in the README", () => {
    expect(readme).toEqual([
      "npm run setup && npm run build && npm start",
      "npm run setup && npm run verify",
    ]);
  });

  it("are run by the continuous build exactly as the README's second one", () => {
    const lines = readRepositoryFile(".ci/run").split("\n");
    expect(lines.filter((line) => line.includes(`{ ${readme[1]}; }`))).toHaveLength(1);
    expect(lines).toContain(`echo '+ ${readme[1]}'`);
  });

  it("set up a clone in three steps, two of them those that the build runs", () => {
    expect(findCommands(contributing, "sh")).toEqual(["npm run setup", "npm run verify", "npm start"]);
  });

  it("name scripts that exist", () => {
    const all = [...readme, ...findCommands(contributing, "sh"), ...findCommands(contributing, "sh ci")];
    const named = [...all.join("\n").matchAll(/npm (?:run )?(\S+)/g)].map((match) => match[1] ?? "");
    expect(named.length).toBeGreaterThan(5);
    expect(named.filter((name) => name !== "ci" && scripts[name] === undefined)).toEqual([]);
  });

  it("verify in steps that exist, the tests last", () => {
    const list = /const steps = \[([^\]]+)\]/.exec(readRepositoryFile("scripts/verify.ts"))?.[1] ?? "";
    const steps = [...list.matchAll(/"([^"]+)"/g)].map((match) => match[1] ?? "");
    expect(steps).toEqual([
      "build",
      "check:types",
      "check:lint",
      "check:data",
      "check:contributing",
      "browser",
      "test",
    ]);
    expect(steps.filter((step) => scripts[step] === undefined)).toEqual([]);
  });

  it("check the version of Node before anything else", () => {
    for (const hook of ["preinstall", "presetup", "prebuild", "prestart", "pretest"]) {
      expect(scripts[hook], hook).toBe("node scripts/require-node.cjs");
    }
  });

  it("leave no name of a private registry in the lock file", () => {
    expect(readRepositoryFile("package-lock.json")).not.toMatch(
      /"resolved": "(?!https:\/\/registry\.npmjs\.org\/)/,
    );
  });
});

describe("findCommands", () => {
  it("takes the lines of blocks with exactly that info string", () => {
    const text = "```sh\na\n```\n```sh ci\nb\n\nc && d\n```\ne\n```text\nf\n```\n";
    expect(findCommands(text, "sh ci")).toEqual(["b", "c && d"]);
    expect(findCommands(text, "sh")).toEqual(["a"]);
  });
});

describe("the count at the end of the continuous build", () => {
  const count = (results?: unknown): string => {
    const folder = mkdtempSync(join(tmpdir(), "boardwake-count-"));
    try {
      const path = join(folder, "results.json");
      if (results !== undefined) writeFileSync(path, JSON.stringify(results));
      const script = join(repositoryRoot, "scripts/print-test-count.cjs");
      return execFileSync(process.execPath, [script, path], { encoding: "utf8" });
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  };
  const file = (status: string, ...outcomes: string[]): object => ({
    status,
    assertionResults: outcomes.map((outcome) => ({ status: outcome })),
  });

  it("adds up files and outcomes", () => {
    const testResults = [file("failed", "passed", "failed", "skipped"), file("passed", "passed", "pending")];
    expect(count({ testResults })).toBe("2 passed, 1 failed, 2 skipped\n");
  });

  it("counts a file that could not be loaded as failed", () => {
    expect(count({ testResults: [file("failed"), file("passed", "passed")] })).toBe(
      "1 passed, 1 failed, 0 skipped\n",
    );
  });

  it("says so when no test was reached", () => {
    expect(count()).toBe("no test was reached\n0 passed, 0 failed, 0 skipped\n");
  });
});
