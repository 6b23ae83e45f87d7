import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readJson, renderPath } from "./json-places.js";

const placeOf = (text: string, ...path: (string | number)[]): string => {
  const at = readJson(text).value?.placeOf(path);
  return `${at?.line}:${at?.column}`;
};

describe("the JSON reader", () => {
  it("agrees with the language's own reader on any JSON", () => {
    fc.assert(
      fc.property(fc.json({ stringUnit: "binary", maxDepth: 5 }), fc.nat(3), (text, indent) => {
        const value: unknown = JSON.parse(text);
        expect(readJson(JSON.stringify(value, null, indent)).value?.value).toEqual(value);
      }),
      { seed: 8259, numRuns: 1000 },
    );
  });

  it("rejects what the language's own reader rejects, and the other way round", () => {
    const pieces = fc.constantFrom(
      "{",
      "}",
      "[",
      "]",
      ",",
      ":",
      '"',
      "\\",
      "\\u12",
      "0",
      "1",
      "-",
      ".",
      "e5",
      "true",
      "nul",
      "null",
      "a",
      " ",
      "\n",
      "\t",
      "\u0001",
      "\ufeff",
    );
    const accepts = (text: string): boolean => {
      try {
        JSON.parse(text);
        return true;
      } catch {
        return false;
      }
    };
    fc.assert(
      fc.property(
        fc.array(pieces, { maxLength: 8 }).map((list) => list.join("")),
        (text) => {
          // A mark of byte order at the very front is no part of the text.
          const body = text.startsWith("\ufeff") ? text.slice(1) : text;
          expect(readJson(text).value !== undefined).toBe(accepts(body));
        },
      ),
      { seed: 8260, numRuns: 4000 },
    );
  });

  it("finds the line and column of values and of names", () => {
    const text = '{\n  "a": [1,\r\n    {"b": "x"}],\r  "c": null\n}';
    expect(placeOf(text)).toBe("1:1");
    expect(placeOf(text, "a")).toBe("2:8");
    expect(placeOf(text, "a", 0)).toBe("2:9");
    expect(placeOf(text, "a", 1, "b")).toBe("3:11");
    expect(placeOf(text, "c")).toBe("4:8");
    expect(placeOf(text, "a", 1, "missing")).toBe("3:5");
    const document = readJson(text).value;
    expect(document?.placeOfName(["a", 1, "b"])).toEqual({ line: 3, column: 6 });
    expect(document?.placeOfName(["a", 0])).toEqual({ line: 2, column: 9 });
  });

  it.each([
    ["", "1:1", "A JSON value was expected here, not the end of the text."],
    ['{"a": 1,\n "b" 2}', "2:6", "A colon was expected here, not '2'."],
    ['{"a": 1,}', "1:9", "A name in double quotes was expected here, not '}'."],
    ["[1 2]", "1:4", "A comma or ']' was expected here, not '2'."],
    ['{"a": 1 "b": 2}', "1:9", "A comma or '}' was expected here, not '\"'."],
    ['["a\nb"]', "1:4", "A string holds a raw line break or control character."],
    ['[\n "abc]', "2:2", "A string is not closed."],
    ['["\\x"]', "1:3", "'\\x' is no escape that JSON knows."],
    ["1 2", "1:3", "The text goes on after the end of its JSON value."],
  ])("says what is wrong with %j", (text, place, message) => {
    const { value, problems } = readJson(text, { file: "a.json" });
    expect(value).toBeUndefined();
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ code: "json-syntax", message, where: { file: "a.json" } });
    expect(`${problems[0]?.where.line}:${problems[0]?.where.column}`).toBe(place);
  });

  it("warns of a name given twice", () => {
    const { value, problems } = readJson('{"1": "A",\n "1": "B"}');
    expect(value?.value).toEqual({ "1": "B" });
    expect(problems.map(({ code, severity, where }) => [code, severity, where.line])).toEqual([
      ["json-duplicate-name", "warning", 2],
    ]);
  });

  it("has bounds on depth and length", () => {
    expect(readJson("[".repeat(1_000_000)).problems.map(({ code }) => code)).toEqual([
      "json-nested-too-deep",
    ]);
    expect(readJson("[1]", { maximumCharacters: 2 }).problems.map(({ code }) => code)).toEqual([
      "input-too-large",
    ]);
  });

  it("keeps fields whose names mean something to the language", () => {
    const value = readJson('{"__proto__": 1, "constructor": 2}').value?.value;
    expect(Object.keys(Object(value))).toEqual(["__proto__", "constructor"]);
  });

  it("writes paths as people read them", () => {
    expect(renderPath(["parts", 3, "pins", "7"])).toBe("parts[3].pins.7");
    expect(renderPath([])).toBe("");
  });
});
