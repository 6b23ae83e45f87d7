import { describe, expect, it } from "vitest";
import { readPartLibrary } from "../../../../test/support/part-types.js";
import { readRecognitionData } from "../../../../test/support/recognition.js";
import { boardSchema } from "../board.js";
import { parseBoardFile } from "../read/board-file.js";
import { parseKicadNetlist } from "../read/kicad-netlist.js";
import { boardFromNetlist, boardId, withLocalTypes } from "./board-from-netlist.js";
import { type ImportOverrides, parseOverrides } from "./overrides.js";

const library = readPartLibrary();
const recognition = readRecognitionData();

interface Part {
  readonly value: string;
  readonly symbol: string;
  readonly extra?: string;
}

/** A netlist from parts by reference and nets as `name: U1.1 U2.2`. */
function netlist(parts: Record<string, Part>, nets: readonly string[], symbols = ""): string {
  const components = Object.entries(parts).map(
    ([ref, { value, symbol, extra }]) =>
      `(comp (ref "${ref}") (value "${value}") (libsource (lib "x") (part "${symbol}")) ${extra ?? ""})`,
  );
  const lists = nets.map((line) => {
    const [name = "", pins = ""] = line.split(": ");
    const nodes = pins
      .split(" ")
      .filter((pin) => pin !== "")
      .map((pin) => {
        const [ref, number] = pin.split(".");
        return `(node (ref "${ref}") (pin "${number}"))`;
      });
    return `(net (name "${name}") ${nodes.join(" ")})`;
  });
  return `(export (version "E") (components ${components.join("\n")}) (libparts ${symbols}) (nets ${lists.join("\n")}))`;
}

function importText(text: string, overrides: ImportOverrides = {}, fileName = "boards/My Board_2.net") {
  const draft = parseKicadNetlist(text).value;
  if (draft === undefined) throw new Error("the netlist was not read");
  return boardFromNetlist(draft, { library, recognition, fileName, overrides });
}

const gate: Record<string, Part> = {
  U1: { value: "74LS00", symbol: "74LS00", extra: '(footprint "Package_DIP:DIP-14_W7.62mm_Socket")' },
  JP1: { value: "SEL", symbol: "Jumper_NC_Dual" },
  R1: { value: "4k7", symbol: "R" },
  J1: { value: "BUS", symbol: "Conn_01x04" },
  X1: { value: "8 MHz", symbol: "Crystal" },
};
const gateNets = [
  "GND: U1.7 J1.1",
  "+5V: U1.14 J1.2 R1.1",
  "/~{A}: U1.1 JP1.2 R1.2",
  "/B: JP1.1 J1.3",
  "/C: JP1.3 J1.4",
  "Net-(U1-Pad2): U1.2 X1.1",
  "Net-(U1-Pad3): U1.3",
  "/Y: U1.6",
];

describe("a board from a netlist", () => {
  it("has id, title, nets by their plain names, and open pins left out", () => {
    const { value, problems } = importText(netlist(gate, gateNets));
    expect(problems).toEqual([]);
    expect(value).toMatchObject({ id: "my-board-2", title: "My Board_2", ground: "GND" });
    expect(value?.rails).toEqual([{ net: "+5V", nominalVolt: 5, tolerancePercent: 5 }]);
    const u1 = value?.parts.find((part) => part.ref === "U1");
    expect(u1).toMatchObject({ type: "74LS00", section: "other", socketed: true });
    expect(u1?.pins).toEqual({ "1": "/A", "2": "Net-(U1-Pad2)", "6": "Y", "7": "GND", "14": "+5V" });
    expect(u1).not.toHaveProperty("value");
    expect(value?.parts.find((part) => part.ref === "X1")).toMatchObject({
      type: "crystal",
      value: "8 MHz",
      frequencyHertz: 8e6,
      section: "clock",
    });
  });

  it("sets jumpers as drawn, or as the user says", () => {
    const pinsOf = (overrides: ImportOverrides): unknown =>
      importText(netlist(gate, gateNets), overrides)
        .value?.parts.filter((part) => part.ref.startsWith("JP1"))
        .map(({ ref, pins }) => [ref, pins]);
    expect(pinsOf({})).toEqual([["JP1", { "1": "B", "2": "/A" }]]);
    expect(pinsOf({ jumpers: { JP1: [["2", "3"]] } })).toEqual([["JP1", { "2": "/A", "3": "C" }]]);
    expect(pinsOf({ jumpers: { JP1: [] } })).toEqual([["JP1", {}]]);
    expect(
      pinsOf({
        jumpers: {
          JP1: [
            ["1", "2"],
            ["2", "3"],
          ],
        },
      }),
    ).toEqual([
      ["JP1", { "1": "B", "2": "/A" }],
      ["JP1/2", { "2": "/A", "3": "C" }],
    ]);
  });

  it("makes a header a jumper where the user joins its pins", () => {
    const { value } = importText(netlist(gate, gateNets), { jumpers: { J1: [["3", "4"]] } });
    expect(value?.parts.find((part) => part.ref === "J1")).toMatchObject({
      type: "jumper",
      pins: { "3": "B", "4": "C" },
    });
  });

  it("reports overrides that fit nothing", () => {
    const { problems } = importText(netlist(gate, gateNets), {
      types: { U9: "74LS00", U1: "74LS0", R1: "74LS00", constructor: "resistor" },
      jumpers: { JP9: [], JP1: [["1", "7"]] },
    });
    expect(problems.map(({ code, message, hint }) => [code, message, hint])).toEqual([
      [
        "unknown-part",
        "The overrides give a type for 'U9', which is not in the netlist.",
        "Did you mean 'U1'?",
      ],
      [
        "unknown-type",
        "The overrides name the part type '74LS0', which there is not.",
        "Did you mean '74LS00'?",
      ],
      [
        "unknown-part",
        "The overrides give a type for 'constructor', which is not in the netlist.",
        undefined,
      ],
      [
        "unknown-part",
        "The overrides set the jumper 'JP9', which is not in the netlist.",
        "Did you mean 'JP1'?",
      ],
      ["unknown-pin", "The overrides join pin '7' of JP1, which is on no net.", undefined],
    ]);
  });

  it("leaves out what is not fitted or no electrical part, and says so", () => {
    const parts = {
      ...gate,
      R2: { value: "1k", symbol: "R", extra: '(property (name "dnp"))' },
      MH1: { value: "", symbol: "MountingHole" },
    };
    const { value, guesses } = importText(netlist(parts, [...gateNets, "/D: R2.1 J1.5"]));
    expect(value?.parts.map((part) => part.ref)).toEqual(["J1", "JP1", "R1", "U1", "X1"]);
    expect(
      guesses
        .filter(({ taken }) => taken === "no part of the circuit")
        .map(({ subject, reason }) => [subject, reason]),
    ).toEqual([
      ["R2", "it is marked as not fitted"],
      ["MH1", "no electrical part"],
    ]);
  });

  it("treats a chip nobody knows with the cautious rule, from its symbol", () => {
    const pins =
      '(pin (num "1") (name "IN") (type "input")) (pin (num "2") (name "OUT") (type "output")) (pin (num "3") (name "OUT") (type "tri_state")) (pin (num "4") (name "GND") (type "power_in")) (pin (num "5") (name "VCC") (type "power_in")) (pin (num "6") (name "N") (type "unspecified"))';
    const symbol = `(libpart (lib "x") (part "MYSTERY") (description "Odd one") (pins ${pins}))`;
    const parts = { ...gate, U2: { value: "MYSTERY", symbol: "MYSTERY" } };
    const nets = gateNets.map((line) =>
      line.startsWith("GND")
        ? `${line} U2.4`
        : line.startsWith("+5V")
          ? `${line} U2.5`
          : line.startsWith("/Y")
            ? `${line} U2.1`
            : line,
    );
    const { value, problems, localTypes } = importText(netlist(parts, nets, symbol));
    expect(problems.map(({ code, severity }) => [code, severity])).toEqual([["unknown-type", "warning"]]);
    expect(localTypes).toHaveLength(1);
    expect(localTypes[0]).toMatchObject({
      type: "MYSTERY (U2)",
      title: "Odd one",
      behaviour: { kind: "cautious" },
    });
    expect(localTypes[0]?.pins).toEqual([
      { number: "1", name: "IN", kind: "in" },
      { number: "2", name: "OUT", kind: "out" },
      { number: "3", name: "OUT_3", kind: "tri" },
      { number: "4", name: "GND", kind: "ground" },
      { number: "5", name: "VCC", kind: "power" },
      { number: "6", name: "N", kind: "passive" },
    ]);
    expect(localTypes[0]?.rails).toEqual([
      { pin: "VCC", nominalVolt: 5, minimumVolt: 4.75, maximumVolt: 5.25 },
    ]);
    expect(value?.parts.find((part) => part.ref === "U2")?.type).toBe("MYSTERY (U2)");
    expect(parseBoardFile(JSON.stringify(value), withLocalTypes(library, localTypes)).problems).toEqual([]);
  });

  it("takes the user's type for such a chip", () => {
    const parts = { ...gate, U2: { value: "PLD", symbol: "PLD" } };
    const { value, problems } = importText(netlist(parts, [...gateNets, "/Z: U2.20 J1.9"]), {
      types: { U2: "16V8" },
    });
    expect(problems).toEqual([]);
    expect(value?.parts.find((part) => part.ref === "U2")?.type).toBe("16V8");
    const bad = importText(netlist(parts, [...gateNets, "/Z: U2.20 J1.9"]), { types: { U2: "74LS00" } });
    expect(bad.problems.map(({ code }) => code)).toEqual(["unknown-pin", "unknown-type"]);
  });

  it("finds ground and rails by the duty of pins where names fail", () => {
    const parts: Record<string, Part> = {
      U1: { value: "4116", symbol: "4116" },
      U2: { value: "4116", symbol: "4116" },
      U3: { value: "7805", symbol: "7805" },
    };
    const nets = [
      "N1: U1.1 U2.1",
      "N2: U1.8 U2.8",
      "VCC: U1.9 U2.9 U3.3",
      "N4: U1.16 U2.16 U3.2",
      "N5: U3.1",
    ];
    const { value, guesses } = importText(netlist(parts, nets));
    expect(value?.ground).toBe("N4");
    expect(value?.rails).toEqual([
      { net: "N1", nominalVolt: -5, tolerancePercent: 5 },
      { net: "N2", nominalVolt: 12, tolerancePercent: 5 },
      { net: "VCC", nominalVolt: 5, tolerancePercent: 5 },
      { net: "N5", nominalVolt: 9, tolerancePercent: 30, raw: true },
    ]);
    expect(guesses.find(({ subject }) => subject === "N4")?.reason).toBe(
      "it carries 3 ground pins, the most of all nets",
    );
  });

  it("joins nets with a ground's name, and ground pins behind a closed jumper", () => {
    const parts: Record<string, Part> = {
      U1: { value: "74LS00", symbol: "74LS00" },
      U2: { value: "74LS00", symbol: "74LS00" },
      U3: { value: "74LS00", symbol: "74LS00" },
      JP1: { value: "", symbol: "Jumper_NC_Small" },
    };
    const { value } = importText(
      netlist(parts, [
        "VCC: U1.14 U2.14 U3.14",
        "GND: U1.7 JP1.1",
        "AGND: U2.7",
        "Net-(U3-Pad7): U3.7 JP1.2",
      ]),
    );
    expect(value?.ground).toBe("GND");
    const ground = value?.parts.flatMap((part) =>
      Object.entries(part.pins)
        .filter(([, net]) => net === "GND")
        .map(([pin]) => `${part.ref}.${pin}`),
    );
    expect(ground).toEqual(["JP1.1", "JP1.2", "U1.7", "U2.7", "U3.7"]);
  });

  it("refuses a netlist without parts or without ground in one sentence", () => {
    expect(importText("(export (version E) (components) (nets))")).toMatchObject({
      problems: [{ code: "no-parts", severity: "error" }],
    });
    const { value, problems } = importText(
      netlist({ R1: { value: "1k", symbol: "R" } }, ["A: R1.1", "B: R1.2"]),
    );
    expect(value).toBeUndefined();
    expect(problems.map(({ code }) => code)).toEqual(["no-ground"]);
  });

  it("gives a value that the schema takes, whatever the names", () => {
    const long = "N".repeat(300);
    const parts = { ...gate, ["U".repeat(60)]: { value: "74LS00", symbol: "74LS00" } };
    const { value, problems } = importText(
      netlist(parts, [...gateNets, `${long}: R1.3 J1.7`, `${long}2: R1.4 J1.8`]),
      {},
      "!!.net",
    );
    expect(problems.map(({ code }) => code)).toEqual(["unusable-ref"]);
    expect(value?.id).toBe("board");
    expect(boardSchema.safeParse(value).success).toBe(true);
  });

  it.each([
    ["Easy_Z80.net", "easy-z80"],
    ["-__--.net", "board"],
    [`${"x".repeat(99)}.net`, "x".repeat(60)],
    ["\u00c4rger 3.net", "rger-3"],
  ])("takes %s for the board's id %s", (fileName, id) => {
    expect(boardId(fileName)).toBe(id);
  });
});

describe("the overrides file", () => {
  it("is read with places", () => {
    expect(parseOverrides('{"types": {"U9": "16V8"}, "jumpers": {"JP3": [["2", "3"]], "JP4": []}}')).toEqual({
      value: { types: { U9: "16V8" }, jumpers: { JP3: [["2", "3"]], JP4: [] } },
      problems: [],
    });
    const { value, problems } = parseOverrides('{\n "jumpres": {}\n}', { file: "o.json" });
    expect(value).toBeUndefined();
    expect(problems[0]).toMatchObject({
      code: "field-unknown",
      where: { file: "o.json", line: 2, field: "jumpres" },
      hint: "Did you mean 'jumpers'?",
    });
    expect(parseOverrides('{"jumpers": {"JP1": [["1"]]}}').problems[0]?.where.field).toBe("jumpers.JP1[0]");
  });
});
