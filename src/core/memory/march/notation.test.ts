import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { printBackground, standardBackgrounds } from "./backgrounds.js";
import { operationCount, operationsPerAddress, pauseSeconds } from "./march.js";
import { findMarchTest, namedMarchTests } from "./march-tests.js";
import { parseMarch, printMarch } from "./notation.js";

describe("march notation", () => {
  it("is printed as the literature does, however it was written", () => {
    const printed = "{⇕(w0);⇑(r0,w1);Del 100 ms;⇓(r1,w0)}";
    for (const text of [
      printed,
      "*(w0); ^(r0,w1); Del 100ms; v(r1,w0)",
      " { ↕ ( W0 ) ; ↑ (r0 , w1) ; DEL 0.1 s ; ↓(r1,w0) ; } ",
    ]) {
      const { value, problems } = parseMarch(text);
      expect(problems, text).toEqual([]);
      expect(value === undefined ? "" : printMarch(value)).toBe(printed);
    }
  });

  it("keeps a pause without a time", () => {
    const { value } = parseMarch("⇑(w0);Del;⇑(r0);Del 2 s");
    expect(value?.elements[1]).toEqual({ kind: "pause" });
    expect(value === undefined ? 0 : pauseSeconds(value)).toBe(2);
  });

  it.each([
    ["", "march-empty", 1],
    ["{}", "march-empty", 1],
    ["⇑(w0);>(r0)", "march-order", 7],
    ["⇑(w0);⇑ r0", "march-brackets", 8],
    ["⇑(w0);⇓(r0,,w1)", "march-operation", 12],
    ["⇑(w0,  x1)", "march-operation", 8],
    ["⇑()", "march-operation", 3],
    ["⇑(w0);Del 5 hours", "march-pause", 7],
    ["⇑(w0))", "march-brackets", 2],
    ["x".repeat(5001), "march-too-long", 1],
  ])("refuses %j", (text, code, column) => {
    const { value, problems } = parseMarch(text);
    expect(value).toBeUndefined();
    expect(problems[0]).toMatchObject({ code, severity: "error", where: { column } });
  });

  it("takes no harm from random text", () => {
    const signs = [..."⇑⇓⇕^v*(){};,rwDel01 5ms"];
    const random = createRandom(77);
    for (let run = 0; run < 3000; run += 1) {
      const text = Array.from({ length: random.below(30) }, () => signs[random.below(signs.length)]).join("");
      const { value, problems } = parseMarch(text);
      expect(value === undefined, text).toBe(problems.length > 0);
      if (value !== undefined) expect(parseMarch(printMarch(value)).value, text).toEqual(value);
    }
  });
});

describe("counts", () => {
  it("are operations per address, addresses and backgrounds multiplied", () => {
    const { value } = parseMarch("{⇕(w0);Del;⇑(r0,w1);⇓(r1,w0)}");
    if (value === undefined) throw new Error("not read");
    expect(operationsPerAddress(value)).toBe(5);
    expect(operationCount(value, 7, 3)).toBe(105);
    expect(() => operationCount(value, 0)).toThrow(RangeError);
  });
});

describe("named tests", () => {
  const tests = namedMarchTests({
    $schema: "",
    formatVersion: 1,
    tests: [
      ["march-c-", "March C-"],
      ["mats+", "MATS+"],
    ].map(([id = "", title = ""]) => ({
      id,
      title,
      notation: "⇕(w0)",
      operationsPerAddress: 1,
      sources: [],
    })),
  });

  it.each(["march-c-", "March C-", "C-", "march c-", "MARCHC-", "March C−"])("are found as %s", (name) => {
    expect(findMarchTest(tests, name)?.id).toBe("march-c-");
  });

  it("are not guessed", () => {
    expect(findMarchTest(tests, "c")).toBeUndefined();
    expect(findMarchTest(tests, "mats")).toBeUndefined();
    expect(findMarchTest(tests, "MATS+")?.id).toBe("mats+");
  });
});

describe("backgrounds", () => {
  it("are the logarithm of the width and one more, and tell any two bits apart", () => {
    expect(standardBackgrounds(8).map((word) => printBackground(word, 8))).toEqual(["00", "55", "33", "0F"]);
    expect(standardBackgrounds(1)).toEqual([0]);
    for (let width = 2; width <= 16; width += 1) {
      const words = standardBackgrounds(width);
      expect(words).toHaveLength(Math.ceil(Math.log2(width)) + 1);
      for (let a = 0; a < width; a += 1)
        for (let b = 0; b < a; b += 1)
          expect(
            words.some((word) => ((word >> a) & 1) !== ((word >> b) & 1)),
            `${width} ${a} ${b}`,
          ).toBe(true);
    }
    expect(() => standardBackgrounds(0)).toThrow(RangeError);
    expect(() => standardBackgrounds(17)).toThrow(RangeError);
  });
});
