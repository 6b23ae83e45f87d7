import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { parseFailures } from "./failure-list.js";

describe("a list of failing addresses", () => {
  it.each([
    "address,expected,read\n2A00,55,54\n2A01,AA,A8\n",
    "# noted by hand\n$2A00 $55 $54\n\n$2A01 $AA $A8",
    "0x2a00: expected 0x55, read 0x54\r\n0x2a01: expected 0xaa, read 0xa8\r\n",
    "at 2A00h expected 55h got 54h\nat 2A01h expected 0AAh got 0A8h",
    "2A00;55;54\n2A01\tAA -> A8",
  ])("is read however it was written: %j", (text) => {
    const { value, problems } = parseFailures(text);
    expect(problems).toEqual([]);
    expect(value?.reads).toEqual([
      { address: 0x2a00, expected: 0x55, read: 0x54 },
      { address: 0x2a01, expected: 0xaa, read: 0xa8 },
    ]);
  });

  it("keeps whether it was cold or warm", () => {
    const { value } = parseFailures("address,expected,read,when\n10,1,0,warm\n11,1,0,cold\n12,1,0,\n");
    expect(value?.reads.map(({ when }) => when)).toEqual(["warm", "cold", undefined]);
  });

  it("is refused in one sentence if it mixes notations", () => {
    const { value, problems } = parseFailures("$2A00,$55,$54\n0x2A01,0x55,0x54\n2A02h,1,0", "fails.csv");
    expect(value).toBeUndefined();
    expect(problems).toEqual([
      {
        code: "failure-mixed",
        severity: "error",
        message: "Line 1 writes numbers with $, this one 0x2A01 with 0x.",
        where: { file: "fails.csv", line: 2 },
        hint: "Write all numbers in one notation.",
      },
    ]);
  });

  it.each([
    ["", "failure-empty", 1],
    ["address,expected,read\n", "failure-empty", 1],
    ["2A00,55\n", "failure-line", 1],
    ["2A00,55,54\n2A01,55,54,3", "failure-line", 2],
    ["2A00,5G,54", "failure-number", 1],
    ["$2A00h,55,54", "failure-number", 1],
    ["2A00,55,55", "failure-same", 1],
    ["hello there", "failure-line", 1],
  ])("%j is refused", (text, code, line) => {
    const { value, problems } = parseFailures(text);
    expect(value).toBeUndefined();
    expect(problems[0]).toMatchObject({ code, where: { line } });
  });

  it("takes no harm from random text", () => {
    const signs = [...'0123456789ABCDEFabcdefxh$,;: \t\n#->→"warmcold'];
    const random = createRandom(5);
    for (let run = 0; run < 2000; run += 1) {
      const text = Array.from({ length: random.below(60) }, () => signs[random.below(signs.length)]).join("");
      const { value, problems } = parseFailures(text);
      expect(value === undefined, text).toBe(problems.length > 0);
    }
  });
});
