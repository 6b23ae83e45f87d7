import { describe, expect, it } from "vitest";
import { readPartLibrary } from "../../../../test/support/part-types.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import type { Board } from "../board.js";
import { checkBoard, unexplainedFindings } from "./check-board.js";
import type { RuleId } from "./finding.js";

const library = readPartLibrary();

/** Findings of one rule on a tiny board, as `severity place`. */
function find(rule: RuleId, text: string, more: Partial<Board> = {}): string[] {
  return checkBoard(tinyBoard(text, more), library)
    .filter((finding) => finding.rule === rule)
    .map((finding) => `${finding.severity} ${finding.at}`);
}

const message = (rule: RuleId, text: string): string | undefined =>
  checkBoard(tinyBoard(text), library).find((finding) => finding.rule === rule)?.message;

// A gate with everything right: both inputs of each unit driven, decoupled, its output read.
const gate = "U1:74LS00 1=A 2=B 3=Y 4=A 5=A 6=Z 9=A 10=A 8=W 12=A 13=A 11=V 7=GND 14=+5V";
const around = "J1:connector 1=A 2=B 3=Y 4=Z 5=W 6=V 7=+5V 8=GND; C1:capacitor-ceramic 1=+5V 2=GND";

describe("the electrical check", () => {
  it("finds nothing on a sound circuit", () => {
    expect(checkBoard(tinyBoard(`${gate}; ${around}`), library)).toEqual([]);
  });

  it("names parts of unknown type and checks the rest", () => {
    const board = tinyBoard(`${gate}; ${around}; U2:XYZ 1=A 2=Y`);
    expect(checkBoard(board, library).map(({ rule, at }) => [rule, at])).toEqual([["unknown-type", "U2"]]);
  });
});

describe("rule unconnected-supply", () => {
  it.each([
    ["a supply pin left open", "U1:74LS00 7=GND", ["error U1.14"]],
    ["a ground pin left open", "U1:74LS00 14=+5V", ["error U1.7"]],
    ["all connected", "U1:74LS00 7=GND 14=+5V", []],
    ["one of three supplies open", "U1:4116 1=-5V 9=+5V 16=GND", ["error U1.8"]],
    ["a supply pin the part can do without", "U1:MAX693 3=+5V 4=GND 2=+5V", ["warning U1.1"]],
  ])("%s", (_, text, expected) => {
    expect(find("unconnected-supply", text)).toEqual(expected);
  });
});

describe("rule wrong-rail", () => {
  it.each([
    ["supply and ground swapped", "U1:74LS00 7=+5V 14=GND", ["error U1.7", "error U1.14"]],
    ["a rail of the wrong voltage", "U1:74LS00 7=GND 14=+12V; J1:connector 1=+5V", ["error U1.14"]],
    ["a net that is no rail", "U1:74LS00 7=GND 14=VX", ["error U1.14"]],
    ["supplies of a 4116 exchanged", "U1:4116 1=-5V 8=+5V 9=+12V 16=GND", ["error U1.8", "error U1.9"]],
    ["supplies of a 4116 as they should be", "U1:4116 1=-5V 8=+12V 9=+5V 16=GND", []],
    ["a regulator between its rails", "U1:7805 1=+9V 2=GND 3=+5V", []],
    ["a regulator turned round", "U1:7805 1=+5V 2=GND 3=+9V", ["error U1.1", "error U1.3"]],
    ["a negative supply of 0 V where that will do", "U1:LM311 1=GND 4=GND 8=+5V", []],
  ])("%s", (_, text, expected) => {
    expect(find("wrong-rail", text)).toEqual(expected);
  });

  it("says what the pin takes and what the net carries", () => {
    expect(message("wrong-rail", "U1:74LS00 7=GND 14=+12V")).toBe(
      "U1.14 (VCC) of the 74LS00 takes 4.75 to 5.25 V, but +12V carries 12 V.",
    );
  });
});

describe("rule fighting-outputs", () => {
  it.each([
    ["two totem-pole outputs", "U1:74LS00 3=Y 6=Y", ["error Y"]],
    ["a totem-pole and a tri-state output", "U1:74LS00 3=Y; U2:74LS125 3=Y", ["error Y"]],
    ["a totem-pole and an open collector", "U1:74LS00 3=Y; U2:74LS05 2=Y", ["error Y"]],
    ["two tri-state outputs", "U1:74LS125 3=Y 6=Y", []],
    ["two open collectors", "U1:74LS05 2=Y 4=Y", []],
    ["one output and inputs", "U1:74LS00 3=Y 4=Y 5=Y", []],
    ["an output into a port pin that can be an input", "U1:74LS00 3=Y; U2:8255 4=Y", []],
  ])("%s", (_, text, expected) => {
    expect(find("fighting-outputs", text)).toEqual(expected);
  });

  it("names the pins", () => {
    expect(message("fighting-outputs", "U1:74LS00 3=Y; U2:74LS125 3=Y")).toBe(
      "Net Y is driven by U1.3 (1Y), U2.3 (1Y); it never lets go of the net.",
    );
  });
});

describe("rule undriven-input", () => {
  it.each([
    ["inputs alone", "U1:74LS00 1=A 2=A", ["error A"]],
    ["an output", "U1:74LS00 1=A 3=A", []],
    ["a rail", "U1:74LS00 1=+5V", []],
    ["a pull-up", "U1:74LS00 1=A; R1:resistor 1=A 2=+5V", []],
    ["a resistor to another undriven net", "U1:74LS00 1=A 2=B; R1:resistor 1=A 2=B", ["error A", "error B"]],
    ["an output behind a resistor", "U1:74LS00 1=A 3=B; R1:resistor 1=A 2=B", []],
    [
      "a row of resistors and a jumper",
      "U1:74LS00 1=A 3=D; R1:resistor 1=A 2=B; JP1:jumper 1=B 2=C; R2:resistor 1=C 2=D",
      [],
    ],
    [
      "a resistor network with its common pin on a rail",
      "U1:74LS00 1=A; RN1:resistor-network 1=+5V 2=X 3=A",
      [],
    ],
    [
      "separate resistors, the next one's neighbour",
      "U1:74LS00 1=A; RN1:resistor-network-isolated 1=+5V 2=X 3=A 4=Y",
      ["error A"],
    ],
    ["a connector", "U1:74LS00 1=A; J1:connector 1=A", []],
    ["a keyboard", "U1:74LS00 1=A; K1:keyboard 1=A", []],
    ["a crystal", "U1:74LS00 1=A; Y1:crystal 1=A 2=B", []],
    ["a capacitor to ground only", "U1:74LS00 1=A; C1:capacitor-ceramic 1=A 2=GND", ["error A"]],
    ["a capacitor from an output", "U1:74LS00 1=A 3=B; C1:capacitor-ceramic 1=A 2=B", []],
    ["a transistor's collector", "U1:74LS00 1=A; Q1:transistor-npn 3=A", []],
    ["a transistor's base", "U1:74LS00 1=A; Q1:transistor-npn 2=A", ["error A"]],
    ["a push button to ground", "U1:74LS00 1=A; SW1:push-button 1=A 2=GND", []],
    [
      "ground passes nothing on from one net to another",
      "U1:74LS00 1=A; C1:capacitor-ceramic 1=A 2=GND; C2:capacitor-ceramic 1=GND 2=B; U2:74LS00 3=B",
      ["error A"],
    ],
  ])("%s", (_, text, expected) => {
    expect(find("undriven-input", text)).toEqual(expected);
  });
});

describe("rule open-input", () => {
  it("is an error for MOS and a warning for TTL", () => {
    expect(find("open-input", "U1:74LS04 1=A 3=A 5=A 9=A 11=A")).toEqual(["warning U1.13"]);
    expect(find("open-input", "U1:74HCT04 1=A 3=A 5=A 9=A 11=A")).toEqual(["error U1.13"]);
    expect(find("open-input", "U1:74LS04 1=A 3=A 5=A 9=A 11=A 13=GND")).toEqual([]);
  });
});

describe("rule missing-pull-up", () => {
  it.each([
    ["no way to a rail", "U1:74LS05 2=Y; U2:74LS04 1=Y", ["error Y"]],
    ["a pull-up", "U1:74LS05 2=Y; U2:74LS04 1=Y; R1:resistor 1=Y 2=+5V", []],
    ["a pull-up to a negative rail", "U1:74LS05 2=Y; U2:74LS04 1=Y; R1:resistor 1=Y 2=-5V", ["error Y"]],
    ["a resistor to ground", "U1:74LS05 2=Y; U2:74LS04 1=Y; R1:resistor 1=Y 2=GND", ["error Y"]],
    ["a lamp and its resistor", "U1:74LS05 2=Y; U2:74LS04 1=Y; D1:led 1=Y 2=L; R1:resistor 1=L 2=+5V", []],
    ["a capacitor to a rail", "U1:74LS05 2=Y; U2:74LS04 1=Y; C1:capacitor-ceramic 1=Y 2=+5V", ["error Y"]],
    [
      "a connector, whose partner may have one",
      "U1:74LS05 2=Y; U2:74LS04 1=Y; J1:connector 1=Y",
      ["warning Y"],
    ],
    ["nobody who reads it", "U1:74LS05 2=Y; D1:led 1=Y 2=L", []],
    ["another driver, which is a fight", "U1:74LS05 2=Y; U2:74LS04 1=Y 2=Y", []],
  ])("%s", (_, text, expected) => {
    expect(find("missing-pull-up", text)).toEqual(expected);
  });
});

describe("rule missing-decoupling", () => {
  const chip = "U1:74LS00 @50,50 7=GND 14=+5V";

  it.each([
    ["near enough", `${chip}; C1:capacitor-ceramic @50,80 1=+5V 2=GND`, []],
    ["too far", `${chip}; C1:capacitor-ceramic @50,80.1 1=+5V 2=GND`, ["warning U1.14"]],
    ["too far across the corner", `${chip}; C1:capacitor-ceramic @72,72 1=+5V 2=GND`, ["warning U1.14"]],
    ["on another rail", `${chip}; C1:capacitor-ceramic @50,60 1=+12V 2=GND`, ["warning U1.14"]],
    ["between rails", `${chip}; C1:capacitor-ceramic @50,60 1=+5V 2=+12V`, ["warning U1.14"]],
    ["an electrolytic one the other way round", `${chip}; C1:capacitor-aluminium @50,60 1=GND 2=+5V`, []],
    [
      "one of three rails without",
      "U1:4116 @50,50 1=-5V 8=+12V 9=+5V 16=GND; C1:capacitor-ceramic @50,60 1=+5V 2=GND; C2:capacitor-ceramic @50,60 1=+12V 2=GND",
      ["warning U1.1"],
    ],
    [
      "parts that are no chips",
      "U1:7805 @1,1 1=+9V 2=GND 3=+5V; Q1:transistor-npn @2,2 1=A 2=B 3=+5V; J1:connector @3,3 1=+5V",
      [],
    ],
  ])("%s", (_, text, expected) => {
    expect(find("missing-decoupling", text)).toEqual(expected);
  });

  it("counts where parts have no true positions", () => {
    const chips = "U1:74LS00 7=GND 14=+5V; U2:74LS00 7=GND 14=+5V";
    expect(find("missing-decoupling", `${chips}; C1:capacitor-ceramic 1=+5V 2=GND`)).toEqual(["warning +5V"]);
    expect(
      find(
        "missing-decoupling",
        `${chips}; C1:capacitor-ceramic 1=+5V 2=GND; C2:capacitor-ceramic 1=GND 2=+5V`,
      ),
    ).toEqual([]);
    expect(message("missing-decoupling", chips)).toBe(
      "2 chips take +5V, but 0 capacitors lead from it to ground; each chip should have its own.",
    );
  });
});

describe("rule single-pin-net", () => {
  it("lists wires that lead nowhere, but not supplies and lone inputs", () => {
    expect(find("single-pin-net", "U1:74LS00 1=A 3=Y 7=GND 14=+5V; J1:connector 1=SPARE 2=A")).toEqual([
      "warning SPARE",
      "warning Y",
    ]);
    expect(find("single-pin-net", "U1:74LS00 1=A")).toEqual([]);
    expect(find("single-pin-net", "U9:XYZ 1=A; U1:74LS00 1=A")).toEqual([]);
  });
});

describe("accepted findings", () => {
  const faulty = `${gate}; ${around}; U2:74LS04 7=GND 14=+5V; C2:capacitor-ceramic 1=+5V 2=GND`;
  const accept = (rule: string, at: string, why = "a spare"): Partial<Board> => ({
    accepted: [{ rule, at, why }],
  });

  it("carry their reason, for one pin or a whole part", () => {
    const onePin = checkBoard(tinyBoard(faulty, accept("open-input", "U2.3")), library);
    expect(onePin.filter((finding) => finding.explained === "a spare").map(({ at }) => at)).toEqual(["U2.3"]);
    expect(unexplainedFindings(onePin)).toHaveLength(5);
    const wholePart = checkBoard(tinyBoard(faulty, accept("open-input", "U2")), library);
    expect(wholePart).toHaveLength(6);
    expect(unexplainedFindings(wholePart)).toEqual([]);
  });

  it("do not cover another part whose name begins alike", () => {
    const board = tinyBoard(`${faulty}; U22:74LS04 7=GND 14=+5V`, accept("open-input", "U2"));
    expect(unexplainedFindings(checkBoard(board, library)).some(({ at }) => at === "U22.1")).toBe(true);
  });

  it.each([
    [
      "open-input",
      "U1",
      "The board accepts 'open-input' at U1, but the check finds nothing of the kind there.",
    ],
    [
      "open-imput",
      "U2",
      "The board accepts 'open-imput' at U2, but there is no such rule; did you mean 'open-input'?",
    ],
  ])("are findings themselves if they cover nothing: %s at %s", (rule, at, expected) => {
    const findings = checkBoard(tinyBoard(faulty, accept(rule, at)), library);
    expect(findings.at(-1)).toEqual({
      rule: "accepted-unmatched",
      at,
      message: expected,
      severity: "warning",
    });
  });
});

describe("the order of findings", () => {
  it("is by rule, then as a person counts", () => {
    const board = tinyBoard("U10:74LS00 1=A; U2:74LS00 9=B; U2x:XYZ 1=C");
    const places = checkBoard(board, library)
      .filter(({ rule }) => rule === "open-input")
      .map(({ at }) => at);
    expect(places.slice(0, 8)).toEqual(["U2.1", "U2.2", "U2.4", "U2.5", "U2.10", "U2.12", "U2.13", "U10.2"]);
    expect(checkBoard(board, library)[0]?.rule).toBe("unknown-type");
  });
});
