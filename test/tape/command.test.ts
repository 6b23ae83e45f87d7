import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import { runCli } from "../support/cli.js";

let folder = "";
const path = (name: string): string => join(folder, name);
const random = createRandom(5);
const bytes = Uint8Array.from({ length: 120 }, () => random.below(256));

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-tape-"));
  writeFileSync(path("bytes.bin"), bytes);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe("boardwake tape", () => {
  it("writes a recording and reads it back with its manifest", async () => {
    const written = await runCli([
      "tape",
      "write",
      path("bytes.bin"),
      "--scheme",
      "pulse-cycles",
      "--out",
      path("rec.wav"),
      "--leader",
      "1",
    ]);
    expect(written.code).toBe(0);
    const read = await runCli([
      "tape",
      "read",
      path("rec.wav"),
      "--scheme",
      "pulse-cycles",
      "--out",
      path("got.bin"),
      "--clean",
      path("clean.wav"),
      "--json",
    ]);
    expect(read.code).toBe(0);
    const output: unknown = JSON.parse(read.out);
    expect(output).toMatchObject({
      bytes: 120,
      doubtful: [],
      blocks: [{ offset: 0, length: 120, check: "good" }],
    });
    expect([...readFileSync(path("got.bin"))]).toEqual([...bytes]);
    expect(JSON.parse(readFileSync(path("got.bin.json"), "utf8"))).toMatchObject({
      format: "boardwake tape manifest",
      bytes: 120,
    });
    const again = await runCli(["tape", "read", path("clean.wav"), "--scheme", "pulse-cycles"]);
    expect(again.code).toBe(0);
    expect(again.out).toContain("check good");
  });

  it("says what cannot be read, and where", async () => {
    writeFileSync(path("text.wav"), "this is no sound");
    const text = await runCli(["tape", "read", path("text.wav"), "--scheme", "kansas-city-300", "--json"]);
    expect(text.code).toBe(3);
    const wrong = await runCli(["tape", "read", path("rec.wav"), "--scheme", "kansas-city-30"]);
    expect(wrong.code).toBe(2);
    expect(wrong.err).toContain("Did you mean 'kansas-city-300'?");
  });

  it("says how far a loader's tape may drift", async () => {
    const { code, out } = await runCli(["tape", "margin", "--scheme", "kansas-city-1200", "--json"]);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ scheme: "kansas-city-1200" });
  });

  it("combines takes", async () => {
    const { code, out } = await runCli([
      "tape",
      "combine",
      path("rec.wav"),
      path("clean.wav"),
      "--scheme",
      "pulse-cycles",
      "--json",
    ]);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ bytes: 120, recordings: [path("rec.wav"), path("clean.wav")] });
  });
});
