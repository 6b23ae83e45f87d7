import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { runCli } from "../../test/support/cli.js";
import { explainOutputSchema } from "./output/memory-output.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-memory-"));
const file = join(folder, "fails.csv");

afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Bit 3 of the first rows of Pellow 16 reads low. */
const stuck = Array.from({ length: 512 }, (_, address) => `${address.toString(16)},FF,F7`).join("\n");

describe("boardwake memory explain", () => {
  it("prints ranked explanations with parts", async () => {
    writeFileSync(file, `address,expected,read\n${stuck}\n`);
    const words = [
      "memory",
      "explain",
      "--board",
      "pellow-16",
      "--fails",
      file,
      "--tested",
      "0000-01FF",
      "--json",
    ];
    const { code, out, err } = await runCli(words);
    expect({ code, err }).toEqual({ code: 0, err: "" });
    const { explanations, cells, assumptions } = explainOutputSchema.parse(JSON.parse(out));
    expect(cells).toBe(512);
    expect(explanations[0]).toMatchObject({ kind: "chip-bit", unexplained: 0, good: 0 });
    expect(explanations[0]?.parts[0]).toMatchObject({
      part: "U20",
      pins: ["14"],
      failureMode: "data-bit-lost",
    });
    expect(assumptions.join(" ")).toContain("row");
  });

  it("says for people which part and pin, from the input stream", async () => {
    const words = ["memory", "explain", "--board", "merrow", "--fails", "-"];
    const { code, out } = await runCli(words, { text: "$2345 $00 $80\n" });
    expect(code).toBe(0);
    expect(out).toContain("Merrow: 1 failing reads, 1 addresses, 1 failing bits");
    expect(out).toContain("A single cell of U10 (data bit 7) is bad.");
    expect(Math.max(...out.split("\n").map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  it("adds what it found to a log, which finding the fault goes on with", async () => {
    const log = join(folder, "case.json");
    const symptom = { kind: "symptom", what: "random-characters" };
    writeFileSync(log, JSON.stringify({ board: "pellow-16", entries: [symptom] }));
    writeFileSync(file, `address,expected,read\n${stuck}\n`);
    const words = ["memory", "explain", "--board", "pellow-16", "--fails", file, "--into", log];
    expect(await runCli(words)).toMatchObject({ code: 0, err: "" });
    const found = await runCli(["find", "--board", "pellow-16", "--log", log, "--json"]);
    expect(JSON.parse(found.out).suspects[0]).toMatchObject({ part: "U20" });
    expect(JSON.parse(readFileSync(log, "utf8"))).toMatchObject({
      entries: [symptom, { kind: "memory-test", by: "test-program", verdict: "causes" }],
    });
  });

  it("leaves a log of another board as it is", async () => {
    const log = join(folder, "other.json");
    const text = JSON.stringify({ board: "merrow", entries: [] });
    writeFileSync(log, text);
    const words = ["memory", "explain", "--board", "pellow-16", "--fails", "-", "--into", log];
    expect(await runCli(words, { text: "0000 FF F7\n" })).toMatchObject({ code: 3 });
    expect(readFileSync(log, "utf8")).toBe(text);
  });

  it.each([
    ["$2000,$0,$1\n0x2001,0,1", [], 3, "Line 1 writes numbers with $, this one 0x2001 with 0x."],
    ["0800,0,1", [], 3, "input stream: Address 0800 is no RAM of this board"],
    ["2000,0,1", ["--tested", "3000-2000"], 2, "--tested takes hexadecimal ranges"],
    ["", [], 3, "There is no failing address here."],
  ])("refuses %j %j", async (text, more, code, sentence) => {
    const run = await runCli(["memory", "explain", "--board", "merrow", "--fails", "-", ...more], { text });
    expect(run).toMatchObject({ code, out: "" });
    expect(run.err).toContain(sentence);
  });
});
