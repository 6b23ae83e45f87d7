import { describe, expect, it } from "vitest";
import { renderJson } from "./json.js";
import { wantsColour } from "./process-io.js";
import { readNumbers } from "./session/choose.js";
import {
  bar,
  createPaint,
  cut,
  minutesText,
  padEnd,
  padStart,
  percent,
  sentence,
  widthOf,
  wrap,
} from "./text.js";

describe("wrapping", () => {
  it("breaks between words and indents what follows", () => {
    const lines = wrap(`${"word ".repeat(20)}end`, "  - ");
    expect(lines).toEqual([`  - ${"word ".repeat(15).trim()}`, `    ${"word ".repeat(5)}end`]);
  });

  it("fills a line to its last column and not beyond", () => {
    expect(wrap(`${"x".repeat(39)} ${"y".repeat(40)}`)).toEqual([`${"x".repeat(39)} ${"y".repeat(40)}`]);
    expect(wrap(`${"x".repeat(40)} ${"y".repeat(40)}`)).toHaveLength(2);
  });

  it("cuts a word that is longer than a line", () => {
    const lines = wrap("z".repeat(200), "> ");
    expect(lines.map(widthOf)).toEqual([80, 80, 46]);
    expect(lines.join("").replace(/[> ]/g, "")).toBe("z".repeat(200));
  });

  it("keeps a head without a text, and counts no colours", () => {
    expect(wrap("", " a  b ")).toEqual([" a  b"]);
    const { red } = createPaint(true);
    expect(wrap("text", red("! "))[0]).toBe(`${red("! ")}text`);
    expect(widthOf(red("ab"))).toBe(2);
    expect(padEnd(red("ab"), 4)).toBe(`${red("ab")}  `);
    expect(padStart("ab", 4)).toBe("  ab");
  });
});

describe("numbers for people", () => {
  it.each([
    [0, "0.0 %"],
    [0.0004, "< 0.1 %"],
    [0.031, "3.1 %"],
    [0.0996, "10 %"],
    [0.425, "43 %"],
    [1, "100 %"],
  ])("%d is %s", (share, text) => {
    expect(percent(share)).toBe(text);
  });

  it.each([
    [0.75, "0.8 min"],
    [1, "1 min"],
    [12.4, "12 min"],
    [89.4, "89 min"],
    [90, "1 h 30 min"],
    [120, "2 h"],
  ])("%d minutes are %s", (minutes, text) => {
    expect(minutesText(minutes)).toBe(text);
  });

  it("bars and cut texts keep their width", () => {
    expect([bar(0, 4), bar(0.5, 4), bar(1.2, 4)]).toEqual(["····", "██··", "████"]);
    expect([cut("abcd", 4), cut("abcde", 4)]).toEqual(["abcd", "abc…"]);
    expect([sentence("so it is"), sentence("Is it?")]).toEqual(["So it is.", "Is it?"]);
  });
});

describe("numbers chosen from a list", () => {
  it("are read with blanks and commas, each once", () => {
    expect(readNumbers("3, 1 3", 4)).toEqual({ kind: "chosen", positions: [2, 0] });
    expect(readNumbers("  ", 4)).toEqual({ kind: "chosen", positions: [] });
  });

  it.each(["0", "5", "1.5", "x", "-1"])("refuse %s", (word) => {
    expect(readNumbers(`1 ${word}`, 4)).toMatchObject({
      kind: "unclear",
      message: expect.stringContaining("1 to 4"),
    });
  });
});

describe("JSON as printed", () => {
  it("keeps six significant digits of fractions, and whole numbers whole", () => {
    const text = renderJson({
      a: 0.123456789,
      b: 1234567.89,
      c: 123456789,
      d: null,
      e: [1e-9 / 3],
      f: undefined,
    });
    expect(JSON.parse(text)).toEqual({ a: 0.123457, b: 1234570, c: 123456789, d: null, e: [3.33333e-10] });
    expect(text.endsWith("}\n")).toBe(true);
  });
});

describe("colour", () => {
  it.each([
    [{}, true, true],
    [{}, false, false],
    [{ TERM: "dumb" }, true, false],
    [{ NO_COLOR: "1" }, true, false],
    [{ NO_COLOR: "" }, true, true],
    [{ FORCE_COLOR: "1" }, false, true],
    [{ FORCE_COLOR: "0" }, true, false],
    [{ FORCE_COLOR: "1", NO_COLOR: "1" }, true, false],
  ])("%j, terminal %s: %s", (env, isTerminal, expected) => {
    expect(wantsColour(env, isTerminal)).toBe(expected);
  });
});
