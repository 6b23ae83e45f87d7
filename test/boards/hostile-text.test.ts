import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { boardSchema } from "../../src/core/board/board.js";
import { checkBoard } from "../../src/core/board/check/check-board.js";
import { parseBoardFile } from "../../src/core/board/read/board-file.js";
import { parseKicadNetlist } from "../../src/core/board/read/kicad-netlist.js";
import { boardFromNetlist, withLocalTypes } from "../../src/core/board/recognise/board-from-netlist.js";
import { parseOverrides } from "../../src/core/board/recognise/overrides.js";
import { parseRecognitionFile } from "../../src/core/board/recognise/recognition-data.js";
import { readPartLibrary } from "../support/part-types.js";
import { readRecognitionData } from "../support/recognition.js";
import { readRepositoryFile } from "../support/source-files.js";
import { tinyBoard } from "../support/tiny-board.js";

/*
 * Whatever a text holds, the readers answer with a value or with problems: they throw nothing, come to an end, and a
 * value they give is sound. 20,000 texts in all: sound files with pieces cut out, doubled, exchanged, put in and nested,
 * and text from nowhere.
 */

const library = readPartLibrary();
const recognition = readRecognitionData();

const netlist = `(export (version "E")
  (components
    (comp (ref "U1") (value "Z80") (libsource (lib "c") (part "Z80")))
    (comp (ref "U2") (value "2764") (libsource (lib "c") (part "27C64")))
    (comp (ref "U3") (value "74LS138") (footprint "DIP:DIP-16_Socket") (libsource (lib "c") (part "x")))
    (comp (ref "U4") (value "ODD") (libsource (lib "c") (part "ODD")))
    (comp (ref "JP1") (value "A") (libsource (lib "c") (part "Jumper_NC_Dual")))
    (comp (ref "C1") (value "100n") (libsource (lib "c") (part "C")))
    (comp (ref "J1") (value "BUS") (libsource (lib "c") (part "Conn_01x05")) (property (name "x") (value "y"))))
  (libparts (libpart (lib "c") (part "ODD") (pins (pin (num "1") (name "A") (type "input")) (pin (num "2") (name "B") (type "3state")))))
  (nets
    (net (name "GND") (node (ref "U1") (pin "29")) (node (ref "U2") (pin "14")) (node (ref "U3") (pin "8")) (node (ref "C1") (pin "2")))
    (net (name "VCC") (node (ref "U1") (pin "11")) (node (ref "U2") (pin "28")) (node (ref "U3") (pin "16")) (node (ref "C1") (pin "1")))
    (net (name "/D0") (node (ref "U1") (pin "14")) (node (ref "U2") (pin "11")) (node (ref "J1") (pin "1")))
    (net (name "/D1") (node (ref "U1") (pin "15")) (node (ref "U2") (pin "12")))
    (net (name "/~{CE}") (node (ref "U2") (pin "20")) (node (ref "U3") (pin "15")))
    (net (name "/A15") (node (ref "U1") (pin "5")) (node (ref "U3") (pin "1")) (node (ref "JP1") (pin "1")))
    (net (name "/~{MREQ}") (node (ref "U1") (pin "19")) (node (ref "U3") (pin "4")) (node (ref "U4") (pin "1")))
    (net (name "/~{RD}") (node (ref "U1") (pin "21")) (node (ref "U2") (pin "22")) (node (ref "U4") (pin "2")))
    (net (name "Net-(JP1-Pad2)") (node (ref "JP1") (pin "2")) (node (ref "J1") (pin "2")))))
`;

const boardText = JSON.stringify(
  tinyBoard(
    "U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; U2:2114 8=Y 14=D0; R1:resistor 1=+5V 2=A; J1:connector 1=D0 2=B",
    {
      memory: [
        {
          id: "m",
          title: "M",
          kind: "ram",
          from: "0000",
          to: "03FF",
          space: "memory",
          chips: [{ part: "U2", bits: [0, 1, 2, 3] }],
        },
      ],
      steady: { B: "low" },
    },
  ),
  null,
  1,
);
const overridesText =
  '{"types": {"U4": "16V8", "U9": "x"}, "jumpers": {"JP1": [["2", "3"], ["1", "2"]], "J1": []}}';
const recognitionText = readRepositoryFile("data/recognition/nets.json");

const fragments = [
  "(",
  ")",
  '"',
  "\\",
  "\n",
  "\u0000",
  "{",
  "}",
  "[",
  "]",
  ",",
  ":",
  "-1",
  "1e999",
  "null",
  "__proto__",
  '"constructor"',
  "(ref U1)",
  "(pin 1)",
  "\ud800",
];

type Change = readonly [kind: number, at: number, length: number, fragment: number, times: number];
const change: fc.Arbitrary<Change> = fc.tuple(
  fc.nat(4),
  fc.nat(4000),
  fc.integer({ min: 1, max: 80 }),
  fc.nat(fragments.length - 1),
  fc.integer({ min: 1, max: 300 }),
);

/** The text after one change; places beyond its end count from its start again. */
function applyChange(text: string, [kind, place, length, fragment, times]: Change): string {
  const at = text.length === 0 ? 0 : place % text.length;
  const piece = text.slice(at, at + length);
  const put = fragments[fragment] ?? "";
  switch (kind) {
    case 0:
      return text.slice(0, at) + text.slice(at + length);
    case 1:
      return text.slice(0, at) + piece + text.slice(at);
    case 2:
      return text.slice(0, at) + put + text.slice(at + 1);
    case 3:
      return text.slice(0, at) + put.repeat(times) + text.slice(at);
    default:
      return text.slice(0, at);
  }
}

const damaged = (sound: string): fc.Arbitrary<string> =>
  fc.array(change, { minLength: 1, maxLength: 6 }).map((changes) => changes.reduce(applyChange, sound));
const fromNowhere: fc.Arbitrary<string> = fc.oneof(
  fc.string({ unit: "binary", maxLength: 200 }),
  fc.array(fc.constantFrom(...fragments), { maxLength: 200 }).map((list) => list.join("")),
);
const textsLike = (sound: string): fc.Arbitrary<string> =>
  fc.oneof({ weight: 4, arbitrary: damaged(sound) }, { weight: 1, arbitrary: fromNowhere });

const oddValues: readonly unknown[] = [
  null,
  true,
  -1,
  1e9,
  "",
  "GND",
  "U1",
  "Y",
  "no such",
  [],
  {},
  ["A", "Y"],
  { "1": "A" },
  "x".repeat(500),
];

/** Puts an odd value in place of one inside `value`, the `at`-th of all, or takes it out if `put` is undefined. */
function replaceInside(value: unknown, at: number, put: unknown): void {
  const places: { holder: object; key: string }[] = [];
  const visit = (holder: unknown): void => {
    if (typeof holder !== "object" || holder === null) return;
    for (const [key, inner] of Object.entries(holder)) {
      places.push({ holder, key });
      visit(inner);
    }
  };
  visit(value);
  const place = places[at % Math.max(1, places.length)];
  if (place === undefined) return;
  if (put === undefined && !Array.isArray(place.holder)) Reflect.deleteProperty(place.holder, place.key);
  else Reflect.set(place.holder, place.key, put);
}

const misshapen = (sound: string): fc.Arbitrary<string> =>
  fc
    .array(fc.tuple(fc.nat(5000), fc.constantFrom(undefined, ...oddValues)), { minLength: 1, maxLength: 3 })
    .map((changes) => {
      const value: unknown = JSON.parse(sound);
      for (const [at, put] of changes) replaceInside(value, at, structuredClone(put));
      return JSON.stringify(value, null, 1);
    });

/** A reader that gives no value must say why, with an error. */
function expectAnswer(answer: {
  readonly value?: unknown;
  readonly problems: readonly { readonly severity: string }[];
}): void {
  if (answer.value === undefined)
    expect(answer.problems.some((problem) => problem.severity === "error")).toBe(true);
  expect(answer.problems.length).toBeLessThanOrEqual(1000);
}

describe("hostile text", () => {
  it("neither stops the netlist reader nor gets an unsound board past the import", () => {
    let boards = 0;
    fc.assert(
      fc.property(textsLike(netlist), (text) => {
        const read = parseKicadNetlist(text, { file: "h.net" });
        expectAnswer(read);
        if (read.value === undefined) return;
        const imported = boardFromNetlist(read.value, { library, recognition, fileName: "h.net" });
        expectAnswer(imported);
        if (imported.value === undefined) return;
        boards += 1;
        const types = withLocalTypes(library, imported.localTypes);
        expect(boardSchema.safeParse(imported.value).success).toBe(true);
        expect(
          checkBoard(imported.value, types).filter((finding) => finding.rule === "unknown-type"),
        ).toEqual([]);
      }),
      { seed: 1981, numRuns: 9000 },
    );
    // The damage must leave enough to work on, or nothing was tested.
    expect(boards).toBeGreaterThan(1000);
  });

  it("does not stop the board file reader", () => {
    let boards = 0;
    fc.assert(
      fc.property(fc.oneof(textsLike(boardText), misshapen(boardText)), (text) => {
        const read = parseBoardFile(text, library, { file: "h.json" });
        expectAnswer(read);
        if (read.value === undefined) return;
        boards += 1;
        checkBoard(read.value, library);
      }),
      { seed: 1982, numRuns: 7000 },
    );
    expect(boards).toBeGreaterThan(100);
  });

  it("does not stop the readers of overrides and recognition data", () => {
    fc.assert(
      fc.property(fc.oneof(textsLike(overridesText), misshapen(overridesText)), (text) =>
        expectAnswer(parseOverrides(text)),
      ),
      { seed: 1983, numRuns: 2000 },
    );
    fc.assert(
      fc.property(fc.oneof(textsLike(recognitionText), misshapen(recognitionText)), (text) =>
        expectAnswer(parseRecognitionFile(text)),
      ),
      { seed: 1984, numRuns: 2000 },
    );
  });

  it.each([
    ["opening parentheses", "(".repeat(500_000)],
    ["lists in a netlist", `(export (version E) (components ${"(comp ".repeat(200_000)}`],
    ["one endless string", `(export "${"x".repeat(2_000_000)}`],
    ["escapes", `("${"\\".repeat(1_000_000)}`],
    ["closing parentheses", ")".repeat(500_000)],
    ["opening brackets", "[".repeat(500_000)],
    ["objects in objects", '{"a":'.repeat(200_000)],
    ["names", `{${Array.from({ length: 50_000 }, (_, i) => `"n${i}":0`).join(",")}}`],
  ])("survives very many %s", (_, text) => {
    expectAnswer(parseKicadNetlist(text));
    expectAnswer(parseBoardFile(text, library));
    expectAnswer(parseOverrides(text));
  });

  it("survives a netlist of very many chips on one bus", () => {
    const refs = Array.from({ length: 400 }, (_, i) => `U${i}`);
    const components = refs
      .map((ref) => `(comp (ref ${ref}) (value ${ref === "U0" ? "Z80" : "2114"}))`)
      .join("\n");
    const pins: Record<string, [string, string]> = {
      GND: ["29", "9"],
      VCC: ["11", "18"],
      D0: ["14", "14"],
      D1: ["15", "13"],
      D2: ["12", "12"],
      D3: ["8", "11"],
      CS: ["5", "8"],
      WE: ["22", "10"],
    };
    const nets = Object.entries(pins).map(
      ([name, [first, other]]) =>
        `(net (name ${name}) ${refs.map((ref) => `(node (ref ${ref}) (pin ${ref === "U0" ? first : other}))`).join("")})`,
    );
    const draft = parseKicadNetlist(
      `(export (version E) (components ${components}) (nets ${nets.join("\n")}))`,
    ).value;
    if (draft === undefined) throw new Error("the netlist was not read");
    const { value } = boardFromNetlist(draft, { library, recognition, fileName: "many.net" });
    expect(value?.parts).toHaveLength(400);
    expect(value?.phases.length).toBeLessThanOrEqual(16);
  });
});
