import { describe, expect, it } from "vitest";
import { readPartLibrary } from "../../../../test/support/part-types.js";
import { readRecognitionData } from "../../../../test/support/recognition.js";
import { readChipNumber } from "./chip-number.js";
import { type ComponentFacts, partOfType, recognisePart } from "./recognise-part.js";

const data = readRecognitionData();
const library = readPartLibrary();

describe("chip numbers", () => {
  it.each([
    ["74LS157", "74LS157"],
    ["SN74LS157N", "74LS157"],
    ["DM74LS04N", "74LS04"],
    ["HD74LS245P", "74LS245"],
    ["74HCT670", "74HCT670"],
    ["7400", "7400"],
    ["SN54LS00J", "74LS00"],
    ["74LS244 (buffer)", "74LS244"],
    ["Z84C00", "Z80"],
    ["Z84C0006PEC", "Z80"],
    ["Z80A-CPU", "Z80"],
    ["Z80-CTC", "Z80-CTC"],
    ["Z80A CTC", "Z80-CTC"],
    ["Z80-DMA", "Z80-DMA"],
    ["WD65C02", "65C02"],
    ["W65C02S6TPG-14", "65C02S"],
    ["R6502AP", "6502"],
    ["HM62256BLP-7", "62256"],
    ["AS6C4008", "628512"],
    ["SST39SF040", "39F040"],
    ["MB8118-16k-1bit-DRAM", "2118"],
    ["TMS4116-15NL", "4116"],
    ["TMS9918A", "9918A"],
    ["\u00b5PD4164C-2", "4164"],
    ["M5L2764K", "2764"],
    ["27C256-15", "27256"],
    ["ATF16V8B", "16V8"],
    ["GAL16V8D-25LP", "16V8"],
    ["MAX232A", "MAX232"],
    ["MC1488P", "1488"],
    ["NE555N", "555"],
  ])("%s is a %s", (printed, type) => {
    expect(readChipNumber(printed, data)?.types[0]).toBe(type);
  });

  it.each(["", "100n", "4k7", "27160", "741", "LED", "Net", "27C2560", "x".repeat(1000), "74QQ00"])(
    "%s is none",
    (printed) => {
      expect(readChipNumber(printed, data)).toBeUndefined();
    },
  );

  it("names families that may stand in, best first", () => {
    const reading = readChipNumber("74ALS04", data);
    expect(reading?.types.slice(0, 2)).toEqual(["74ALS04", "74LS04"]);
    expect(reading?.exactTypes).toBe(1);
  });

  it("is unambiguous: no two entries share a number", () => {
    const stems = data.chips.flatMap((chip) => chip.stems);
    expect(stems.filter((stem, i) => stems.indexOf(stem) !== i)).toEqual([]);
  });
});

const component = (
  ref: string,
  value: string,
  libraryPart: string,
  pins: Record<string, string>,
  footprint = "",
): ComponentFacts => ({
  ref,
  value,
  libraryPart,
  footprint,
  connectedPins: Object.keys(pins),
  pinName: (number) => pins[number] ?? "",
});
const two = { "1": "", "2": "" };

describe("recognising a component", () => {
  const recognise = (facts: ComponentFacts): string => {
    const found = recognisePart(facts, library, data);
    return found.kind === "part" ? found.part.type : found.kind;
  };

  it.each([
    ["R1", "3.3k", "R", two, "resistor"],
    ["RN4", "4.7k", "R_Network08", two, "resistor-network"],
    ["RV1", "2k", "R_POT", two, "resistor-variable"],
    ["C1", "100n", "C", two, "capacitor-ceramic"],
    ["C24", "47u", "CP1", two, "capacitor-aluminium"],
    ["C9", "47u", "some_symbol", two, "capacitor-aluminium"],
    ["C9", "47n", "some_symbol", two, "capacitor-ceramic"],
    ["D1", "POWER", "LED", { "1": "K", "2": "A" }, "led"],
    ["L1", "L_Ferrite_Small", "L_Ferrite_Small", two, "coil"],
    ["Y1", "4MHz", "Crystal", two, "crystal"],
    ["X1", "CXO_DIP14", "CXO_DIP14", { "7": "", "8": "", "14": "" }, "oscillator-module"],
    ["J1", "Z80 BUS", "Conn_02x20_Odd_Even", two, "connector"],
    ["J3", "SBC6502_Backplane", "SBC6502_Backplane", two, "connector"],
    ["SW1", "RESET", "Switch_Tactile_Vertical", two, "push-button"],
    ["JP3", "CS0", "Jumper_NC_Dual", two, "jumper"],
    ["MH1", "MountingHole", "MountingHole", {}, "left-out"],
    ["U1", "XYZ123", "XYZ123", two, "unknown"],
    ["U1", "Z80-DMA", "Z80-DMA", two, "unknown"],
  ])("takes %s %s %s", (ref, value, symbol, pins, type) => {
    expect(recognise(component(ref, value, symbol, pins))).toBe(type);
  });

  it("prefers the value to the symbol, and refuses a chip whose pins do not fit", () => {
    expect(recognise(component("U2", "74HCT32", "74LS32", { "14": "" }))).toBe("74HCT32");
    expect(recognise(component("U2", "IC", "74LS32", { "14": "" }))).toBe("74LS32");
    const found = recognisePart(component("U2", "74LS32", "74LS32", { "15": "" }), library, data);
    expect(found).toEqual({
      kind: "unknown",
      reason: "value '74LS32' reads as 74LS32, but the pins do not fit",
    });
  });

  it("finds a transistor's pins by their names and a small oscillator's by a table", () => {
    const transistor = recognisePart(
      component("Q1", "2SC1815", "2SC1815", { "1": "E", "2": "C", "3": "B" }),
      library,
      data,
    );
    expect(transistor.kind === "part" ? [...transistor.part.pins] : []).toEqual([
      ["1", "1"],
      ["2", "3"],
      ["3", "2"],
    ]);
    const oscillator = recognisePart(
      component("QG1", "10MHz", "OSC_Half_Can", { "4": "", "5": "", "8": "" }),
      library,
      data,
    );
    expect(oscillator.kind === "part" ? oscillator.part.pins.size : 0).toBe(3);
  });

  it("says in which way a jumper is drawn", () => {
    const bridges = (symbol: string): unknown => {
      const found = recognisePart(component("JP1", "", symbol, two), library, data);
      return found.kind === "part" ? found.part.bridges : undefined;
    };
    expect(bridges("Jumper_NC_Small")).toEqual([["1", "2"]]);
    expect(bridges("Jumper_NC_Dual")).toEqual([["1", "2"]]);
    expect(bridges("Jumper_NO_Small")).toEqual([]);
    expect(bridges("Jumper_3_Open")).toEqual([]);
    expect(bridges("SolderJumper_3_Bridged123")).toEqual([
      ["1", "2"],
      ["2", "3"],
    ]);
  });

  it("takes the user's word if the pins fit", () => {
    expect(partOfType(component("U9", "PLD", "PLD", { "20": "" }), "16V8", library)?.type).toBe("16V8");
    expect(partOfType(component("U9", "PLD", "PLD", { "21": "" }), "16V8", library)).toBeUndefined();
    expect(partOfType(component("U9", "PLD", "PLD", two), "no-such-type", library)).toBeUndefined();
  });
});
