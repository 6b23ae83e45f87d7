import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createSExpressionReader, readSExpressions, type SExpression } from "./s-expression.js";
import { listsNamed, textNamed } from "./s-expression-query.js";

const plain = (node: SExpression): unknown => (node.kind === "atom" ? node.text : node.items.map(plain));
const read = (text: string): unknown => (readSExpressions(text).value ?? []).map(plain);
const codes = (text: string, options = {}): string[] =>
  readSExpressions(text, options).problems.map((problem) => problem.code);

describe("the s-expression reader", () => {
  it.each([
    ["", []],
    ["a", ["a"]],
    ["(a b)(c)", [["a", "b"], ["c"]]],
    ['( a ( b "c d" ) )', [["a", ["b", "c d"]]]],
    ['("a\\"b" "c\\\\d" "e\\nf\\tg\\qh")', [['a"b', "c\\d", "e\nf\tgqh"]]],
    ['(a"b"c)', [["a", "b", "c"]]],
    ['("")', [[""]]],
    ["(/~{RESET} Net-\u00b5)", [["/~{RESET}", "Net-\u00b5"]]],
  ])("reads %s", (text, expected) => {
    expect(read(text)).toEqual(expected);
    expect(codes(text)).toEqual([]);
  });

  it("knows the line and column of every node, for each kind of line end", () => {
    const { value } = readSExpressions('(a\n  b\r\n  ("c"\r d))');
    const outer = value?.[0];
    expect(outer).toMatchObject({ kind: "list", line: 1, column: 1 });
    const items = outer?.kind === "list" ? outer.items : [];
    expect(items.map(({ line, column }) => [line, column])).toEqual([
      [1, 2],
      [2, 3],
      [3, 3],
    ]);
    const inner = items[2];
    expect(inner?.kind === "list" ? inner.items.map(({ line, column }) => [line, column]) : []).toEqual([
      [3, 4],
      [4, 2],
    ]);
  });

  it("tells a quoted word from a bare one", () => {
    const { value } = readSExpressions('a "a"');
    expect(value?.map((node) => node.kind === "atom" && node.quoted)).toEqual([false, true]);
  });

  it.each([
    ["(a (b", [["a", ["b"]]], ["unclosed-list"]],
    ["a) b", ["a", "b"], ["unexpected-close"]],
    ['(a "b\nc)', [["a", "b", "c"]], ["unclosed-string"]],
    ['(a "b', [["a", "b"]], ["unclosed-string", "unclosed-list"]],
    ['"a\\', ["a"], ["unclosed-string"]],
  ])("keeps what it can of %j", (text, value, expected) => {
    expect(read(text)).toEqual(value);
    expect(codes(text)).toEqual(expected);
  });

  it("says where the innermost open list begins", () => {
    const [problem] = readSExpressions("(a\n (b", { file: "x.net" }).problems;
    expect(problem?.where).toEqual({ file: "x.net", line: 2, column: 2 });
    expect(problem?.message).toContain("2 lists");
  });

  it("skips lists below the depth limit and goes on behind them", () => {
    const { value, problems } = readSExpressions("(a (b (c (d) e) f) g)", { maximumDepth: 2 });
    expect(value?.map(plain)).toEqual([["a", ["b", "f"], "g"]]);
    expect(problems.map(({ code, where }) => [code, where.column])).toEqual([["nested-too-deep", 7]]);
  });

  it("survives a million opening parentheses", () => {
    expect(codes("(".repeat(1_000_000))).toEqual(["nested-too-deep", "unclosed-list"]);
  });

  it("stops at its bounds of characters and nodes", () => {
    expect(codes("(a b c)", { maximumCharacters: 4 })).toEqual(["input-too-large"]);
    const { value, problems } = readSExpressions("(a b c d)", { maximumNodes: 2 });
    expect(value?.map(plain)).toEqual([["a", "b"]]);
    expect(problems.map((problem) => problem.code)).toEqual(["input-too-large"]);
  });

  it("keeps the number of problems small", () => {
    const { problems } = readSExpressions(")".repeat(100_000));
    expect(problems).toHaveLength(201);
    expect(problems.at(-1)?.message).toContain("99800 more");
  });

  it("reads the same in pieces as in one, wherever the text is cut", () => {
    const letters = fc.constantFrom("(", ")", '"', "\\", "\n", "\r", " ", "a", "n", "\u00e9", "\ud83d\ude00");
    const text = fc.array(letters, { maxLength: 60 }).map((list) => list.join(""));
    fc.assert(
      fc.property(text, fc.array(fc.nat(60), { maxLength: 5 }), (whole, cuts) => {
        const reader = createSExpressionReader();
        let from = 0;
        for (const cut of [...cuts].sort((a, b) => a - b)) {
          reader.feed(whole.slice(from, cut));
          from = Math.max(from, cut);
        }
        reader.feed(whole.slice(from));
        expect(reader.finish()).toEqual(readSExpressions(whole));
      }),
      { seed: 1976, numRuns: 3000 },
    );
  });

  it("returns what was written, for any nested lists of any words", () => {
    const { node } = fc.letrec<{ node: unknown }>((tie) => ({
      node: fc.oneof(
        { maxDepth: 4 },
        fc.string({ unit: "binary", maxLength: 8 }),
        fc.array(tie("node"), { maxLength: 4 }),
      ),
    }));
    const write = (value: unknown): string => {
      if (Array.isArray(value)) return `(${value.map(write).join(" ")})`;
      const escaped = String(value).replace(/["\\]/g, "\\$&").replace(/\n/g, "\\n").replace(/\r/g, "\\r");
      return `"${escaped}"`;
    };
    fc.assert(
      fc.property(node, (value) => {
        expect(read(write(value))).toEqual([value]);
        expect(codes(write(value))).toEqual([]);
      }),
      { seed: 1977, numRuns: 1000 },
    );
  });
});

describe("looking into a list", () => {
  const list = readSExpressions("(net (code 3) (name A) (node 1) x (node 2) (pair (b)))").value?.[0];

  it("finds texts and lists by name", () => {
    if (list?.kind !== "list") throw new Error("no list was read");
    expect(textNamed(list, "name")).toBe("A");
    expect(textNamed(list, "pair")).toBeUndefined();
    expect(textNamed(list, "colour")).toBeUndefined();
    expect(listsNamed(list, "node").map(plain)).toEqual([
      ["node", "1"],
      ["node", "2"],
    ]);
  });
});
