import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { runCli } from "../../test/support/cli.js";
import { freeRunOutputSchema } from "../app/output/free-run-output.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-free-run-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const command = ["memory", "free-run", "--board", "merrow"];

describe("boardwake memory free-run", () => {
  it("lists plug and lines, and draws the plug", async () => {
    const plug = join(folder, "plug.svg");
    const { code, out, err } = await runCli([...command, "--plug", plug]);
    expect([code, err]).toEqual([0, ""]);
    expect(out).toMatch(/pin 14 D0 {2}low/);
    expect(out).toMatch(/A0 +U1\.30 +pulsing +500 kHz {2}A0: square wave\./);
    expect(out).toMatch(/\/SCREEN SEL +U14\.5 +pulsing/);
    const drawing = readFileSync(plug, "utf8");
    expect(drawing).toMatch(/^<svg /);
    expect(drawing.split("cut, low by 1k")).toHaveLength(9);
  });

  it("compares readings, and ends with 1 if one does not fit", async () => {
    const file = join(folder, "readings.txt");
    writeFileSync(file, "A0 500k\nA3 62.5k\n");
    expect((await runCli([...command, "--readings", file])).code).toBe(0);
    writeFileSync(file, "A0 250k\n");
    const { code, out } = await runCli([...command, "--readings", file, "--json"]);
    expect(code).toBe(1);
    expect(freeRunOutputSchema.parse(JSON.parse(out)).readings).toEqual([
      {
        net: "A0",
        seen: 250000,
        fits: false,
        say: "It should be 500000 Hz. That is the rate of A1: the two may be bridged.",
      },
    ]);
    writeFileSync(file, "A0 500k\nnonsense\nZ9 high\n");
    const refused = await runCli([...command, "--readings", file]);
    expect(refused.code).toBe(3);
    expect(refused.err).toContain("readings.txt:2:");
    expect(refused.err).toContain("Nothing is expected at 'Z9'");
  });
});
