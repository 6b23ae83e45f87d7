import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { runCli } from "../../test/support/cli.js";
import { buildOutputSchema } from "../app/output/self-test-output.js";
import { bytesOfBlocks } from "../core/rom/chip.js";
import { parseIntelHex } from "../core/rom/intel-hex.js";
import { parseSRecords } from "../core/rom/s-record.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-rom-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const at = (name: string): string => join(folder, name);
const build = ["memory", "rom", "build", "--board", "merrow"];

describe("boardwake memory rom build", () => {
  it("writes the chip, its records, a listing and a sheet, and says what was tried", async () => {
    const files = [
      "--hex",
      at("a.hex"),
      "--srec",
      at("a.s19"),
      "--listing",
      at("a.lst"),
      "--sheet",
      at("a.html"),
    ];
    const words = [...build, "--ranges", "2000-20FF", "--out", at("a.bin"), ...files, "--json"];
    const { code, out, err } = await runCli(words);
    expect([code, err]).toEqual([0, ""]);
    const output = buildOutputSchema.parse(JSON.parse(out));
    expect(output).toMatchObject({ board: "merrow", part: "U2", chip: "2732", bytes: 4096 });
    expect(output.codeBytes).toBeLessThan(2048);
    expect(output.trials.map(({ verdict, passed }) => [verdict, passed])).toEqual([
      ["no-answer", true],
      ["rom", true],
      ["good", true],
    ]);
    const bytes = new Uint8Array(readFileSync(at("a.bin")));
    const hex = parseIntelHex(readFileSync(at("a.hex"), "utf8"));
    expect(bytesOfBlocks(hex.value ?? [], 0, 4096).value).toEqual(bytes);
    const srec = parseSRecords(readFileSync(at("a.s19"), "utf8"));
    expect(bytesOfBlocks(srec.value ?? [], 0, 4096).value).toEqual(bytes);
    expect(readFileSync(at("a.lst"), "utf8")).toContain("jp begin");
    expect(readFileSync(at("a.html"), "utf8")).toContain(
      "<td>short, long, long</td><td>data bit 3</td><td>U6</td>",
    );
  });

  it("fills a larger chip", async () => {
    const words = [
      ...build,
      "--ranges",
      "2000-20FF",
      "--chip",
      "27C64",
      "--fill",
      "0xAA",
      "--offset",
      "1000",
    ];
    const { code, out } = await runCli([...words, "--out", at("b.bin")]);
    expect(code).toBe(0);
    expect(out).toContain("self-test for U2, 2764;");
    const bytes = readFileSync(at("b.bin"));
    expect([bytes.length, bytes[0], bytes[0xfff], bytes[0x1000]]).toEqual([8192, 0xaa, 0xaa, 0xf3]);
  });

  it("writes nothing where something is wrong, and says what in a sentence", async () => {
    const refused = async (...words: string[]): Promise<string> => {
      const { code, err } = await runCli([
        ...build,
        "--out",
        at("never.bin"),
        "--hex",
        at("never.hex"),
        ...words,
      ]);
      expect(code).toBe(3);
      expect(existsSync(at("never.bin")) || existsSync(at("never.hex"))).toBe(false);
      return err;
    };
    expect(await refused("--chip", "2716")).toContain("A 2716 holds 2048 bytes, and 4096 are needed.");
    expect(await refused("--chip", "4164")).toContain("No EPROM is known as '4164'");
    expect(await refused("--offset", "800")).toContain("no room for 4096 bytes");
    expect(await refused("--beacons", "lighthouse")).toContain("There is no beacon 'lighthouse'");
    expect(await refused("--ranges", "0000-20FF")).toContain("leaves the RAM of the board at 0000");
    expect(await refused("--ranges", "2000-2080")).toContain("whole pages");
    expect(await refused("--clock", "10")).toContain("outside 100 kHz to 20 MHz");
  });

  it("explains options that cannot be read", async () => {
    for (const words of [
      ["--ranges", "all"],
      ["--rows", "64"],
      ["--fill", "zz"],
      ["--unit", "0"],
    ]) {
      const { code, err } = await runCli([...build, "--out", at("never.bin"), ...words]);
      expect([code, err.length > 10]).toEqual([2, true]);
    }
  });
});

describe("boardwake memory rom sheet", () => {
  it("prints the code of a board", async () => {
    const { code, out } = await runCli(["memory", "rom", "sheet", "--board", "merrow"]);
    expect(code).toBe(0);
    expect(out).toMatch(/short, long, long: data bit 3, U6\n/);
    expect(out).toContain("U15 pin 7");
    expect(out.split("\n").every((line) => line.length <= 100)).toBe(true);
  });

  it("prints a page", async () => {
    const { out } = await runCli(["memory", "rom", "sheet", "--board", "pellow-16", "--html"]);
    expect(out).toMatch(/^<!doctype html>/);
    expect(out).toContain("<td>short, long, long</td><td>data bit 3</td><td>U20, U31</td>");
  });
});
