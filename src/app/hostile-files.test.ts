import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { loadBoard } from "../../test/boards/support.js";
import { readPartLibrary } from "../../test/support/part-types.js";
import { tinyBoard } from "../../test/support/tiny-board.js";
import type { Parsed } from "../core/base/problem.js";
import { boardSchema } from "../core/board/board.js";
import { parseBoardFile } from "../core/board/read/board-file.js";
import { caseSchema } from "../core/find/case/case.js";
import { renderBoard } from "./board-text.js";
import { readLog } from "./read-log.js";

const library = readPartLibrary();

/** A log that holds every kind of entry. */
const everything = JSON.stringify({
  board: "tiny",
  instruments: ["multimeter", "logic-probe"],
  spares: ["4116"],
  year: 2024,
  priorFactors: { U1: 2 },
  entries: [
    { kind: "gate", id: "supply", state: "passed" },
    { kind: "symptom", what: "no-beep", when: "cold", lines: ["KC1"] },
    { kind: "characters", right: "A", wrong: "@" },
    { kind: "reading", at: "U1.3", with: "logic-probe", shows: "low", minutesSincePowerOn: 3 },
    { kind: "reading", at: "rail:+5V", with: "multimeter", volts: 4.9, errorRate: 0.1, note: "shaky" },
    { kind: "swap", part: "U1", result: "unchanged" },
    { kind: "repair", part: "U1", what: "resoldered", result: "changed" },
    { kind: "reseat", part: "U1", result: "fixed" },
    { kind: "piggyback", part: "U1", result: "fixed" },
    { kind: "removed", part: "U1.2", at: "net:A", shows: "freed" },
    { kind: "other-supply", result: "fixed" },
    { kind: "flexed", part: "U1", result: "appears" },
    { kind: "event", what: "dropped", before: true },
    { kind: "note", text: "é💡" },
    { kind: "photo", file: "a.jpg", of: "U1" },
    { kind: "strike", entry: 2 },
  ],
});
const smallBoard = renderBoard(tinyBoard("U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; R1:resistor 1=A 2=+5V"));
const wholeBoard = renderBoard(loadBoard("pellow-16"));

const pieces = fc.constantFrom(
  ...[
    "{",
    "}",
    "[",
    "]",
    ":",
    ",",
    '"',
    "\\",
    "\\u00",
    "null",
    "true",
    "-",
    "0",
    "1e999",
    "-0",
    "9".repeat(400),
  ],
  ...[
    '"__proto__"',
    '"constructor"',
    '"entries"',
    '"kind"',
    '"reading"',
    '"parts"',
    '"pins"',
    '"U1"',
    '"\\ud800"',
  ],
  ...["\u0000", "\ufeff", "\n", " ", "//", "NaN", "💡", "[".repeat(300), '{"a":'.repeat(100)],
);

/** A text with a few places cut out, doubled, or overwritten with pieces of JSON. */
function damaged(text: string): fc.Arbitrary<string> {
  const wound = fc.record({
    at: fc.nat(text.length),
    cut: fc.nat(40),
    put: fc.array(pieces, { maxLength: 3 }),
  });
  return fc.array(wound, { minLength: 1, maxLength: 4 }).map((wounds) => {
    let hurt = text;
    for (const { at, cut, put } of wounds) hurt = hurt.slice(0, at) + put.join("") + hurt.slice(at + cut);
    return hurt;
  });
}

/** A text whose fields hold values of the wrong kind. */
function mistyped(text: string): fc.Arbitrary<string> {
  const fields = [...new Set([...text.matchAll(/"(\w+)":/g)].map(([, name]) => name ?? ""))];
  return fc
    .tuple(fc.constantFrom(...fields), fc.json({ maxDepth: 2 }), fc.constantFrom(...fields))
    .map(([name, value, other]) =>
      text
        .replace(new RegExp(`"${name}": ?("[^"]*"|[-\\d.]+)`), () => `"${name}": ${value}`)
        .replace(`"${other}":`, () => `"${other}x":`),
    );
}

/** What any reader owes: a value of the right form, or problems that say what is wrong and where. */
function expectAnswer<T>({ value, problems }: Parsed<T>, isSound: (value: T) => boolean): void {
  if (value !== undefined) expect(isSound(value)).toBe(true);
  else expect(problems.some(({ severity }) => severity === "error")).toBe(true);
  expect(problems.length).toBeLessThanOrEqual(201);
  for (const { code, message, where } of problems) {
    expect(code).toMatch(/^[a-z]+(-[a-z]+)*$/);
    expect(message.length).toBeGreaterThan(0);
    expect(message.length).toBeLessThan(20_000);
    expect(where.file).toBe("f.json");
    if (where.line !== undefined) expect(where.line).toBeGreaterThan(0);
  }
}

const log = (text: string): void =>
  expectAnswer(readLog({ file: "f.json", text }), (value) => caseSchema.safeParse(value.log).success);
const board = (text: string): void =>
  expectAnswer(
    parseBoardFile(text, library, { file: "f.json" }),
    (value) => boardSchema.safeParse(value).success,
  );

// 20,000 inputs in all. A reader that runs away is caught by the time limit of the test runner.
describe("hostile logs", () => {
  it("the undamaged one is read", () => {
    expect(readLog({ file: "f.json", text: everything }).problems).toEqual([]);
  });

  it.each([
    ["damaged", damaged(everything), 6000],
    ["mistyped", mistyped(everything), 3000],
    ["of any JSON", fc.json({ maxDepth: 5 }), 2000],
    ["of any characters", fc.string({ unit: "binary", maxLength: 300 }), 1500],
    ["of pieces", fc.array(pieces, { maxLength: 30 }).map((list) => list.join("")), 2500],
  ])("%s end in a log or in problems", (_, texts, numRuns) => {
    fc.assert(fc.property(texts, log), { seed: 16, numRuns });
  });
});

describe("hostile board files", () => {
  it("the undamaged ones are read", () => {
    expect(parseBoardFile(smallBoard, library).problems).toEqual([]);
    expect(parseBoardFile(wholeBoard, library).problems).toEqual([]);
  });

  it.each([
    ["damaged", damaged(smallBoard), 2500],
    ["mistyped", mistyped(smallBoard), 1500],
    ["damaged, of a whole machine", damaged(wholeBoard), 250],
    ["mistyped, of a whole machine", mistyped(wholeBoard), 250],
    ["of pieces", fc.array(pieces, { maxLength: 30 }).map((list) => list.join("")), 500],
  ])("%s end in a board or in problems", (_, texts, numRuns) => {
    fc.assert(fc.property(texts, board), { seed: 16, numRuns });
  });
});
