import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import { bytesOfBlocks } from "../../src/core/rom/chip.js";
import { parseIntelHex, printIntelHex } from "../../src/core/rom/intel-hex.js";
import { parseSRecords, printSRecords } from "../../src/core/rom/s-record.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-records-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const random = createRandom(2764);
const content = Uint8Array.from({ length: 5000 }, () => random.below(256));
const address = 0x1e000;
const blocks = [{ address, bytes: content }];

const isInstalled = (tool: string): boolean => spawnSync(tool, ["--version"]).status === 0;
const hasSrecord = isInstalled("srec_cat");
const hasBinutils = isInstalled("objcopy");

function convert(tool: string, ...words: string[]): void {
  const { status, stderr } = spawnSync(tool, words, { cwd: folder, encoding: "utf8" });
  expect(stderr).toBe("");
  expect(status).toBe(0);
}

function bytesIn(name: string): Uint8Array {
  return new Uint8Array(readFileSync(join(folder, name)));
}

const formats = [
  { name: "Intel HEX", print: printIntelHex, parse: parseIntelHex, srecord: "-intel", binutils: "ihex" },
  { name: "S-records", print: printSRecords, parse: parseSRecords, srecord: "-motorola", binutils: "srec" },
] as const;

describe.each(formats)("$name beside other converters", ({ print, parse, srecord, binutils }) => {
  it.skipIf(!hasSrecord)("is read and written as by srecord (skipped where it is not installed)", () => {
    writeFileSync(join(folder, "ours"), print(blocks));
    const offset = `-0x${address.toString(16)}`;
    convert("srec_cat", "ours", srecord, "-offset", offset, "-o", "theirs.bin", "-binary");
    expect(bytesIn("theirs.bin")).toEqual(content);
    convert("srec_cat", "ours", srecord, "-o", "theirs", srecord);
    const read = parse(readFileSync(join(folder, "theirs"), "utf8"));
    expect(read.problems).toEqual([]);
    expect(bytesOfBlocks(read.value ?? [], address, content.length).value).toEqual(content);
  });

  it.skipIf(!hasBinutils)("is read and written as by binutils (skipped where it is not installed)", () => {
    writeFileSync(join(folder, "ours"), print(blocks));
    convert("objcopy", "-I", binutils, "-O", "binary", "ours", "theirs.bin");
    expect(bytesIn("theirs.bin")).toEqual(content);
    convert("objcopy", "-I", binutils, "-O", binutils, "ours", "theirs");
    const read = parse(readFileSync(join(folder, "theirs"), "utf8"));
    expect(read.problems).toEqual([]);
    expect(bytesOfBlocks(read.value ?? [], address, content.length).value).toEqual(content);
  });
});
