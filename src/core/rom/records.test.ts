import { describe, expect, it } from "vitest";
import type { Parsed } from "../base/problem.js";
import { createRandom, type Random } from "../base/random.js";
import type { Block } from "./blocks.js";
import { parseIntelHex, printIntelHex } from "./intel-hex.js";
import { parseSRecords, printSRecords } from "./s-record.js";

const samples = 20_000;

interface Format {
  readonly name: string;
  readonly parse: (text: string) => Parsed<readonly Block[]>;
  readonly print: (blocks: readonly Block[]) => string;
}

const formats: readonly Format[] = [
  { name: "Intel HEX", parse: parseIntelHex, print: printIntelHex },
  { name: "S-records", parse: parseSRecords, print: printSRecords },
];

/** Up to three blocks with gaps between them, somewhere in 16, 24 or 32 bits. */
function someBlocks(random: Random): Block[] {
  let at = random.below([0x1_0000, 0x100_0000, 0xffff_0000][random.below(3)] ?? 1);
  return Array.from({ length: 1 + random.below(3) }, (): Block => {
    const bytes = Uint8Array.from({ length: 1 + random.below(40) }, () => random.below(256));
    const block = { address: at, bytes };
    at += bytes.length + 1 + random.below(100);
    return block;
  });
}

describe.each(formats)("$name", ({ parse, print }) => {
  it(`gives back the blocks it was printed from, ${samples} times`, () => {
    const random = createRandom(1988);
    for (let k = 0; k < samples; k += 1) {
      const blocks = someBlocks(random);
      const read = parse(print(blocks));
      if (read.problems.length > 0) throw new Error(`sample ${k}: ${read.problems[0]?.message}`);
      const isSame =
        read.value?.length === blocks.length &&
        blocks.every(({ address, bytes }, n) => {
          const other = read.value?.[n];
          return other?.address === address && other.bytes.join() === bytes.join();
        });
      if (!isSame) throw new Error(`sample ${k} was read as something else`);
    }
  });

  it(`notices every single wrong digit, ${samples} times`, () => {
    const random = createRandom(2716);
    for (let k = 0; k < samples; k += 1) {
      const text = print(someBlocks(random));
      const at = random.below(text.length - 1);
      const old = text.charAt(at);
      if (!/[0-9A-F]/.test(old) || /S$/.test(text.slice(0, at))) continue;
      // The sum covers all but the digit that says what kind of record it is.
      const changed = ((Number.parseInt(old, 16) + 1 + random.below(15)) % 16).toString(16).toUpperCase();
      const { problems } = parse(text.slice(0, at) + changed + text.slice(at + 1));
      if (!problems.some(({ severity }) => severity === "error"))
        throw new Error(`sample ${k}: '${old}' became '${changed}' at ${at} and nobody noticed`);
    }
  });

  it(`is stopped by no damage, ${samples} times`, () => {
    const random = createRandom(27512);
    for (let k = 0; k < samples; k += 1) {
      let text = print(someBlocks(random));
      for (let change = 0; change <= random.below(6); change += 1) {
        const at = random.below(text.length);
        const inserted = String.fromCharCode(random.below(0x250));
        text = text.slice(0, at) + (random.below(2) === 0 ? inserted : "") + text.slice(at + random.below(4));
      }
      for (const { bytes, address } of parse(text).value ?? [])
        if (bytes.length === 0 || address < 0 || address + bytes.length > 0x1_0000_0000)
          throw new Error(`sample ${k} gave a block that cannot be`);
    }
  });

  it("asks for the end record and for nothing behind it", () => {
    const text = print([{ address: 0x100, bytes: Uint8Array.of(1, 2, 3) }]);
    const lines = text.trimEnd().split("\n");
    expect(parse(lines.slice(0, -1).join("\n")).problems.map(({ code }) => code)).toEqual(["record-end"]);
    expect(parse(`${text}${lines[0]}`).problems.map(({ code }) => code)).toEqual(["record-end"]);
    expect(parse("").problems.map(({ code }) => code)).toEqual(["record-end"]);
    expect(parse(text.replaceAll("\n", "\r\n")).problems).toEqual([]);
    expect(parse(text.toLowerCase().replaceAll("s", "S")).problems).toEqual([]);
  });

  it("warns of a place that is given twice with different bytes and keeps the later", () => {
    const first = print([{ address: 0x100, bytes: Uint8Array.of(1, 2, 3) }])
      .trimEnd()
      .split("\n");
    const second = print([{ address: 0x101, bytes: Uint8Array.of(9, 3) }])
      .trimEnd()
      .split("\n");
    const record = (lines: readonly string[]): string =>
      lines.find((line) => /^(:0[23]|S1)/.test(line)) ?? "";
    const { value, problems } = parse([record(first), record(second), first.at(-1)].join("\n"));
    expect(problems.map(({ code, where }) => [code, where.line])).toEqual([["record-twice", 2]]);
    expect(value).toEqual([{ address: 0x100, bytes: Uint8Array.of(1, 9, 3) }]);
  });
});

describe("addresses of Intel HEX", () => {
  it("stand in segments or in the upper half, and wrap within a segment", () => {
    const segment = [":020000021000EC", ":02FFFF00AABB9B", ":00000001FF"].join("\n");
    expect(parseIntelHex(segment).value).toEqual([
      { address: 0x10000, bytes: Uint8Array.of(0xbb) },
      { address: 0x1ffff, bytes: Uint8Array.of(0xaa) },
    ]);
  });

  it("goes over the 64K border with a record of the upper address", () => {
    const text = printIntelHex([{ address: 0xfffe, bytes: Uint8Array.of(1, 2, 3) }]);
    expect(text.split("\n").slice(0, 3)).toEqual([":02FFFE000102FE", ":020000040001F9", ":0100000003FC"]);
    expect(() => printIntelHex([{ address: 2 ** 32, bytes: Uint8Array.of(1) }])).toThrow(RangeError);
    expect(() => printSRecords([{ address: -1, bytes: Uint8Array.of(1) }])).toThrow(RangeError);
  });

  it("says what is wrong and where", () => {
    const codes = (text: string): (string | number | undefined)[][] =>
      parseIntelHex(`${text}\n:00000001FF`).problems.map(({ code, where }) => [code, where.line]);
    expect(codes("hello")).toEqual([["record-form", 1]]);
    expect(codes(":0100000003FD")).toEqual([["record-sum", 1]]);
    expect(codes(":0200000003FB")).toEqual([["record-length", 1]]);
    expect(codes("\n:00000006FA")).toEqual([["record-kind", 2]]);
    expect(codes(":00000004FC")).toEqual([["record-kind", 1]]);
  });
});

describe("S-records", () => {
  it("choose the width that the highest address needs", () => {
    const kind = (address: number): string =>
      printSRecords([{ address, bytes: Uint8Array.of(7) }])
        .split("\n")
        .map((line) => line.slice(0, 2))
        .join(" ");
    expect(kind(0xffff)).toBe("S0 S1 S5 S9 ");
    expect(kind(0x10000)).toBe("S0 S2 S5 S8 ");
    expect(kind(0x1000000)).toBe("S0 S3 S5 S7 ");
  });

  it("say how many records are lost", () => {
    const text = printSRecords([{ address: 0, bytes: new Uint8Array(64) }]);
    const lines = text.split("\n");
    const codes = parseSRecords(lines.filter((_, k) => k !== 2).join("\n")).problems.map(({ code }) => code);
    expect(codes).toEqual(["record-count"]);
    expect(parseSRecords("S4030000FC\nS9030000FC").problems.map(({ code }) => code)).toEqual(["record-form"]);
  });
});
