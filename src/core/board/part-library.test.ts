import { describe, expect, it } from "vitest";
import { renderProblem } from "../base/problem.js";
import { createPartLibrary, parsePartLibrary } from "./part-library.js";
import type { Behaviour, PartType } from "./part-type.js";
import { renderPartTypeFile } from "./part-type-text.js";

const inverter: Behaviour = { kind: "logic", outputs: { Y: ["not", "A"] } };

/** `"1 A in"` and so on. */
function pinsOf(...pins: string[]): PartType["pins"] {
  return pins.map((pin) => {
    const [number = "", name = "", kind = ""] = pin.split(" ");
    return { number, name, kind: kindOf(kind) };
  });
}

function kindOf(kind: string): "in" | "out" | "tri" | "bidir" | "power" | "ground" | "nc" {
  switch (kind) {
    case "out":
    case "tri":
    case "bidir":
    case "power":
    case "ground":
    case "nc":
      return kind;
    default:
      return "in";
  }
}

function typeOf(changes: Partial<PartType> = {}): PartType {
  return {
    type: "TEST1",
    title: "Inverter",
    package: "DIP4",
    technology: "ttl",
    family: "logic-bipolar",
    pins: pinsOf("1 A in", "2 Y out", "3 GND ground", "4 VCC power"),
    rails: [{ pin: "VCC", nominalVolt: 5, minimumVolt: 4.75, maximumVolt: 5.25 }],
    behaviour: inverter,
    sources: [{ id: "common-practice", confidence: "memory" }],
    ...changes,
  };
}

const fileOf = (...types: PartType[]): string =>
  renderPartTypeFile({ $schema: "part-types.json", formatVersion: 1, types });
const parse = (...types: PartType[]) => parsePartLibrary([{ file: "a.json", text: fileOf(...types) }]);
const codesOf = (changes: Partial<PartType>): string[] =>
  parse(typeOf(changes)).problems.map(({ code }) => code);

describe("parsePartLibrary", () => {
  it("gives the types of all files by name", () => {
    const texts = [
      { file: "b.json", text: fileOf(typeOf({ type: "74LS04" }), typeOf({ type: "74LS05" })) },
      { file: "a.json", text: fileOf(typeOf({ type: "4164" })) },
    ];
    const { value, problems } = parsePartLibrary(texts);
    expect(problems).toEqual([]);
    expect(value?.names()).toEqual(["4164", "74LS04", "74LS05"]);
    expect(value?.get("74LS05")?.type).toBe("74LS05");
    expect(value?.get("74LS06")).toBeUndefined();
    expect(value?.nearest("74L04")).toBe("74LS04");
    expect(value?.nearest("transformer")).toBeUndefined();
  });

  it("keeps the sound types and says where the others are wrong", () => {
    const { value, problems } = parse(
      typeOf({ type: "GOOD" }),
      typeOf({ type: "WRONG", behaviour: { kind: "logic", outputs: { Y: ["not", "AA"] } } }),
    );
    expect(value?.names()).toEqual(["GOOD"]);
    expect(problems.map(renderProblem)).toEqual([
      "a.json:34:57 types[1].behaviour.outputs.Y: Type WRONG: There is no pin called 'AA'. Did you mean 'A'?",
    ]);
  });

  it("keeps the first of two types with one name, in whichever files they stand", () => {
    const texts = [
      { file: "a.json", text: fileOf(typeOf({ title: "first" })) },
      { file: "b.json", text: fileOf(typeOf({ title: "second" })) },
    ];
    const { value, problems } = parsePartLibrary(texts);
    expect(value?.get("TEST1")?.title).toBe("first");
    expect(problems).toMatchObject([
      { code: "duplicate-type", where: { file: "b.json", field: "types[0]" } },
    ]);
    expect(problems[0]?.message).toContain("a.json");
  });

  it("has no value if nothing could be read", () => {
    for (const text of ["", "{", "[]", '{"$schema":"","formatVersion":1,"types":[]}']) {
      const { value, problems } = parsePartLibrary([{ file: "a.json", text }]);
      expect(value).toBeUndefined();
      expect(problems.length).toBeGreaterThan(0);
    }
  });

  it("rejects types that are given twice in code", () => {
    expect(() => createPartLibrary([typeOf(), typeOf()])).toThrow(RangeError);
  });
});

describe("the check of a type against itself", () => {
  it("accepts a sound type", () => {
    expect(codesOf({})).toEqual([]);
    expect(codesOf({ pins: "as-board", rails: [], behaviour: { kind: "plain", as: "resistor" } })).toEqual(
      [],
    );
    const supply: Behaviour = { kind: "supply", inputs: ["1"], outputs: ["2"], references: [] };
    expect(codesOf({ pins: "as-board", rails: [], behaviour: supply })).toEqual([]);
  });

  it("lets supply pins and unconnected pins share a name, but no others", () => {
    expect(codesOf({ pins: pinsOf("1 A in", "2 Y out", "3 NC nc", "4 NC nc", "5 VCC power") })).toEqual([]);
    expect(codesOf({ pins: pinsOf("1 A in", "2 Y out", "3 A in", "4 VCC power") })).toEqual([
      "duplicate-pin",
    ]);
    expect(codesOf({ pins: pinsOf("1 A in", "1 Y out", "4 VCC power") })).toEqual(["duplicate-pin"]);
  });

  const logic = (rest: Partial<Extract<Behaviour, { kind: "logic" }>>): Partial<PartType> => ({
    behaviour: { kind: "logic", outputs: { Y: ["not", "A"] }, ...rest },
  });
  it.each<[string, Partial<PartType>, string[]]>([
    ["an output without a function", logic({ outputs: {} }), ["pin-without-function"]],
    ["a function of an input", logic({ outputs: { Y: "A", A: "Y" } }), ["wrong-pin-kind"]],
    ["a function of a supply pin", logic({ outputs: { Y: ["and", "A", "VCC"] } }), ["wrong-pin-kind"]],
    ["an enable of nothing", logic({ enables: { A: "Y" } }), ["enable-without-output"]],
    [
      "two functions of one pin",
      logic({ registers: [{ kind: "edge", clock: "A", outputs: [{ pin: "Y", data: "A" }] }] }),
      ["function-twice"],
    ],
    [
      "a register with unknown pins",
      logic({
        outputs: {},
        registers: [{ kind: "edge", clock: "C", clear: "R", outputs: [{ pin: "Y", data: "D" }] }],
      }),
      ["unknown-pin", "unknown-pin", "unknown-pin"],
    ],
    [
      "a tri-state output without enable",
      { pins: pinsOf("1 A in", "2 Y tri", "4 VCC power") },
      ["enable-missing"],
    ],
    [
      "a rail on a signal pin",
      { rails: [{ pin: "A", nominalVolt: 5, minimumVolt: 4, maximumVolt: 6 }] },
      ["wrong-pin-kind"],
    ],
    [
      "a rail with limits the wrong way round",
      { rails: [{ pin: "VCC", nominalVolt: -5, minimumVolt: -4.5, maximumVolt: -5.5 }] },
      ["wrong-rail"],
    ],
    ["logic without a pin list", { pins: "as-board", rails: [] }, ["wrong-behaviour"]],
    [
      "pin names where there are only numbers",
      {
        pins: "as-board",
        rails: [],
        behaviour: { kind: "supply", inputs: ["IN"], outputs: ["2"], references: [] },
      },
      ["unknown-pin"],
    ],
    [
      "an oscillator driving its supply",
      { behaviour: { kind: "oscillator", output: "VCC" } },
      ["wrong-pin-kind", "pin-without-function"],
    ],
    ["a follower of nothing", { behaviour: { kind: "follows", outputs: { Y: ["B"] } } }, ["unknown-pin"]],
    [
      "a RAM that is never written",
      {
        pins: pinsOf("1 A in", "2 Y bidir", "4 VCC power"),
        behaviour: { kind: "memory", content: "ram", address: ["A"], data: [{ out: "Y" }], read: "A" },
      },
      ["write-missing"],
    ],
    [
      "a ROM addressed through its output",
      { behaviour: { kind: "memory", content: "rom", address: ["Y"], data: [{ out: "Y" }], read: true } },
      ["wrong-pin-kind"],
    ],
    [
      "a peripheral with a forgotten output",
      {
        pins: pinsOf("1 A in", "2 Y out", "3 D bidir", "4 VCC power"),
        behaviour: {
          kind: "peripheral",
          data: ["D"],
          registers: [],
          select: "A",
          read: "A",
          write: ["not", "A"],
          clocks: [],
          outputs: [],
          inputs: [],
          interrupts: [],
        },
      },
      ["pin-without-function"],
    ],
  ])("finds %s", (_, changes, codes) => {
    expect(codesOf(changes)).toEqual(codes);
  });

  it("finds bus cycles that speak of different pins", () => {
    const lines = Array.from({ length: 8 }, (_, i) => i);
    const processor: Behaviour = {
      kind: "processor",
      instructionSet: "other",
      clock: ["CLK"],
      reset: { pin: "RES", active: "low" },
      address: lines.map((i) => `A${i}`),
      data: lines.map((i) => `D${i}`),
      holds: [],
      interrupts: [],
      cycles: { fetch: { RD: "low", WR: "high" }, idle: { RD: "high" } },
    };
    const names = [
      "CLK in",
      "RES in",
      "RD out",
      "WR out",
      ...lines.flatMap((i) => [`A${i} out`, `D${i} bidir`]),
    ];
    const pins = pinsOf(...names.map((name, i) => `${i + 1} ${name}`));
    expect(codesOf({ pins, rails: [], behaviour: processor })).toEqual(["cycles-differ"]);
  });
});

describe("renderPartTypeFile", () => {
  it("sorts the types, gives each pin a line and keeps the rest short", () => {
    const text = fileOf(typeOf({ type: "B" }), typeOf({ type: "A" }));
    expect(text.split("\n").slice(0, 20)).toEqual([
      "{",
      '  "$schema": "part-types.json",',
      '  "formatVersion": 1,',
      '  "types": [',
      "    {",
      '      "type": "A",',
      '      "title": "Inverter",',
      '      "package": "DIP4",',
      '      "technology": "ttl",',
      '      "family": "logic-bipolar",',
      '      "pins": [',
      '        { "number": "1", "name": "A", "kind": "in" },',
      '        { "number": "2", "name": "Y", "kind": "out" },',
      '        { "number": "3", "name": "GND", "kind": "ground" },',
      '        { "number": "4", "name": "VCC", "kind": "power" }',
      "      ],",
      '      "rails": [{ "pin": "VCC", "nominalVolt": 5, "minimumVolt": 4.75, "maximumVolt": 5.25 }],',
      '      "behaviour": { "kind": "logic", "outputs": { "Y": ["not", "A"] } },',
      '      "sources": [{ "id": "common-practice", "confidence": "memory" }]',
      "    },",
    ]);
  });

  it("gives back what it was given", () => {
    const file = {
      $schema: "s",
      formatVersion: 1 as const,
      types: [typeOf({ title: 'with "quotes" and é' })],
    };
    expect(JSON.parse(renderPartTypeFile(file))).toEqual(file);
  });
});
