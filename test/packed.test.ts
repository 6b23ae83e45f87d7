import { execFileSync, spawn, spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { z } from "zod";
import { findOutputSchema } from "../src/app/output/find-output.js";
import { readRepositoryFile, repositoryRoot } from "./support/source-files.js";

const manifest = z
  .object({
    version: z.string(),
    files: z.array(z.string()),
    bin: z.object({ boardwake: z.string() }),
    dependencies: z.record(z.string(), z.string()),
  })
  .parse(JSON.parse(readRepositoryFile("package.json")));

let folder = "";
let program = "";

// Packs what would be published, built afresh, and installs it with nothing but its dependencies beside it.
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-packed-"));
  const source = join(folder, "source");
  mkdirSync(source);
  for (const path of ["package.json", ...manifest.files.filter((name) => name !== "dist")])
    cpSync(join(repositoryRoot, path), join(source, path), { recursive: true });
  const compiler = join(repositoryRoot, "node_modules/typescript/bin/tsc");
  const build = ["-p", join(repositoryRoot, "tsconfig.build.json"), "--outDir", join(source, "dist")];
  execFileSync(process.execPath, [compiler, ...build]);
  const packed = execFileSync("npm", ["pack", "--ignore-scripts", "--json", "--pack-destination", folder], {
    cwd: source,
    encoding: "utf8",
    env: { ...process.env, npm_config_offline: "true" },
  });
  const [{ filename }] = z.tuple([z.looseObject({ filename: z.string() })]).parse(JSON.parse(packed));
  const modules = join(folder, "installed/node_modules");
  mkdirSync(join(modules, "boardwake"), { recursive: true });
  execFileSync("tar", [
    "-xzf",
    join(folder, filename),
    "--strip-components=1",
    "-C",
    join(modules, "boardwake"),
  ]);
  for (const name of Object.keys(manifest.dependencies)) {
    const place = join(modules, name);
    mkdirSync(dirname(place), { recursive: true });
    symlinkSync(join(repositoryRoot, "node_modules", name), place);
  }
  program = join(modules, "boardwake", manifest.bin.boardwake);
}, 300_000);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

function boardwake(words: readonly string[], input = "", env: NodeJS.ProcessEnv = {}) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...words], {
    cwd: folder,
    input,
    encoding: "utf8",
    env: { PATH: process.env["PATH"], ...env },
  });
  return { code: status, out: stdout, err: stderr };
}

describe("the packed program, installed elsewhere", () => {
  it("holds what it needs and no tests", () => {
    const all = readdirSync(join(folder, "installed/node_modules/boardwake"), {
      recursive: true,
      encoding: "utf8",
    });
    for (const path of [
      "dist/cli/main.js",
      "data/boards/merrow.json",
      "data/demo/first-session.json",
      "README.md",
    ])
      expect(all).toContain(path);
    expect(all.filter((path) => /\.test\.|^(?:src|test|scripts\/(?!require-node))/.test(path))).toEqual([]);
    expect(readFileSync(program, "utf8").startsWith("#!/usr/bin/env node\n")).toBe(true);
  });

  it("says its version", () => {
    expect(boardwake(["--version"])).toEqual({ code: 0, out: `${manifest.version}\n`, err: "" });
  });

  it("tells the guided session and ends", () => {
    const { code, out, err } = boardwake(["demo"]);
    expect([code, err]).toEqual([0, ""]);
    expect(out).toContain("Why U12?");
    expect(out).not.toContain("\u001b");
  });

  it("finds from a log on the input stream", () => {
    const log = { entries: [{ kind: "symptom", what: "no-picture" }] };
    const { code, out, err } = boardwake(
      ["find", "--board", "merrow", "--log", "-", "--json"],
      JSON.stringify(log),
    );
    expect([code, err]).toEqual([0, ""]);
    expect(findOutputSchema.parse(JSON.parse(out)).board).toBe("merrow");
  });

  it("takes a session from a pipe", () => {
    const { code, out, err } = boardwake(["find", "--board", "merrow"], "1\n\ngate passed\nquit\n\n");
    expect([code, err]).toEqual([0, ""]);
    expect(out).toContain("Logged: Supply check passed");
  });

  it("keeps jobs between one command and the next", () => {
    const data = ["--data", join(folder, "bench")];
    const opened = boardwake(["job", "open", "--board", "merrow", "--title", "Packed", ...data]);
    expect([opened.code, opened.err]).toEqual([0, ""]);
    expect(boardwake(["job", "add", "Packed", ...data, "U33.11", "pulsing"])).toMatchObject({
      code: 0,
      err: "",
    });
    expect(boardwake(["job", "show", "Packed", ...data]).out).toContain(
      "U33.11 with the logic probe: pulsing",
    );
  });

  it("serves the bench, works findings out in its thread, and stops when it is told to", async () => {
    const data = join(folder, "served");
    const child = spawn(process.execPath, [program, "serve", "--port", "0", "--data", data], {
      stdio: ["ignore", "pipe", "inherit"],
    });
    const ended = new Promise<number | null>((resolve) => child.on("close", resolve));
    const address = await new Promise<string>((resolve) => {
      let text = "";
      child.stdout.on("data", (chunk: Buffer) => {
        text += chunk.toString();
        const found = /http:\/\/localhost:\d+/.exec(text);
        if (found !== null && text.includes("Ctrl-C")) resolve(found[0].replace("localhost", "127.0.0.1"));
      });
    });
    const jobs: unknown = await (await fetch(`${address}/api/v1/jobs`)).json();
    const [open] = z.array(z.looseObject({ id: z.string(), board: z.string() })).parse(jobs);
    const findings: unknown = await (await fetch(`${address}/api/v1/jobs/${open?.id}/findings`)).json();
    expect(findings).toMatchObject({ job: open?.id, result: { board: open?.board } });
    child.kill("SIGTERM");
    expect(await ended).toBe(0);
  });

  it("colours only when told to, and never against NO_COLOR", () => {
    const words = ["find", "--symptoms"];
    expect(boardwake(words).out).not.toContain("\u001b");
    expect(boardwake(words, "", { FORCE_COLOR: "1" }).out).toContain("\u001b[1m");
    expect(boardwake(words, "", { FORCE_COLOR: "1", NO_COLOR: "1" }).out).not.toContain("\u001b");
  });

  it("ends with the code of what went wrong", () => {
    expect(boardwake(["board", "show", "nowhere"])).toMatchObject({ code: 3, out: "" });
    expect(boardwake(["fnd"])).toMatchObject({ code: 2, out: "" });
    expect(boardwake([])).toMatchObject({ code: 2, out: "" });
  });

  it("falls silent when its reader goes away", () => {
    const shown = `"${process.execPath}" "${program}" board show pellow-16 --json | head -n 1`;
    const { stdout, stderr } = spawnSync("sh", ["-c", shown], { encoding: "utf8" });
    expect([stdout, stderr]).toEqual(["{\n", ""]);
  });
});
