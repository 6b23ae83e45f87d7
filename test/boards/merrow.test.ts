import { describe, expect, it } from "vitest";
import { renderBoard } from "../../src/app/board-text.js";
import { checkBoard, unexplainedFindings } from "../../src/core/board/check/check-board.js";
import { parseBoardFile } from "../../src/core/board/read/board-file.js";
import { buildCircuit } from "../../src/core/find/settle/build.js";
import { readRepositoryFile } from "../support/source-files.js";
import {
  doublyDrivenNets,
  integratedCircuits,
  loadBoard,
  loadPartTypes,
  lonelyNets,
  memoryMapFlaws,
  misplacedParts,
  missingDecouplers,
  netsByPinName,
  openInputs,
  supplyFlaws,
  unknownNames,
  unknownPins,
} from "./support.js";

const board = loadBoard("merrow");
const types = loadPartTypes();

const dynamicRams = ["U3", "U4", "U5", "U6", "U7", "U8", "U9", "U10"];

describe("the board Merrow as a parts list", () => {
  it("is read without a problem, stands in canonical form and has a healthy state", () => {
    const text = readRepositoryFile("data/boards/merrow.json");
    const library = { get: (type: string) => types.get(type), names: () => types.keys() };
    expect(parseBoardFile(text, library).problems).toEqual([]);
    expect(renderBoard(board)).toBe(text);
    expect(buildCircuit(board, types).unexplained).toEqual([]);
  });

  it("has 50 integrated circuits of the kinds its story tells of", () => {
    const chips = integratedCircuits(board, types);
    expect(chips).toHaveLength(50);
    const count = (type: string): number => chips.filter((chip) => chip.type === type).length;
    expect(count("4164")).toBe(8);
    expect(count("2114")).toBe(2);
    expect(["Z80", "Z80-PIO", "8251", "1488", "1489", "2732", "2716", "74LS166"].map(count)).toEqual(
      Array(8).fill(1),
    );
  });

  it("uses only pins its part types have, and only names that exist", () => {
    expect(unknownPins(board, types)).toEqual([]);
    expect(unknownNames(board)).toEqual([]);
  });

  it("has no net with two outputs that cannot let go, no input in the air, no net of one pin", () => {
    expect(doublyDrivenNets(board, types)).toEqual([]);
    expect(openInputs(board, types, [])).toEqual([]);
    expect(lonelyNets(board, [])).toEqual([]);
    expect(unexplainedFindings(checkBoard(board, types))).toEqual([]);
  });

  it("gives every supply pin its voltage and every chip a capacitor within 25 mm", () => {
    expect(supplyFlaws(board, types)).toEqual([]);
    expect(missingDecouplers(board, types, 25)).toEqual([]);
  });

  it("keeps every part on the board, no two in one place", () => {
    expect(misplacedParts(board)).toEqual([]);
  });

  it("sockets what a restorer would swap first and solders the dynamic RAM", () => {
    const socketed = board.parts.filter((part) => part.socketed === true).map((part) => part.type);
    expect(socketed.sort()).toEqual(["1488", "1489", "2716", "2732", "8251", "Z80", "Z80-PIO"]);
  });

  it("has a memory map without overlap in which each bit has its chip", () => {
    expect(memoryMapFlaws(board, 8)).toEqual([]);
    const ram = board.memory.find((region) => region.id === "ram");
    expect(ram?.chips.map((chip) => [chip.part, chip.bits])).toEqual(
      dynamicRams.map((ref, bit) => [ref, [bit]]),
    );
    for (const [bit, ref] of dynamicRams.entries()) {
      const pins = board.parts.find((part) => part.ref === ref)?.pins;
      expect([pins?.["2"], pins?.["14"]]).toEqual([`D${bit}`, `D${bit}`]);
    }
  });
});

describe("the wiring of Merrow, pin by pin", () => {
  const named = (ref: string): Record<string, string> => netsByPinName(board, types, ref);
  const lines = (pin: string, net: string, count: number): Record<string, string> =>
    Object.fromEntries(Array.from({ length: count }, (_, bit) => [`${pin}${bit}`, `${net}${bit}`]));

  it("joins each chip of the data bus bit for bit", () => {
    for (const ref of ["U1", "U43", "U44"]) expect(named(ref)).toMatchObject(lines("D", "D", 8));
    expect(named("U2")).toMatchObject({ ...lines("O", "D", 8), ...lines("A", "A", 12) });
    expect(named("U1")).toMatchObject(lines("A", "A", 16));
    for (let bit = 0; bit < 8; bit += 1) {
      expect(named("U35")).toMatchObject({ [`A${bit + 1}`]: `D${bit}`, [`B${bit + 1}`]: `VD${bit}` });
      expect(named("U36")).toMatchObject({ [`${bit + 1}D`]: `VD${bit}`, [`${bit + 1}Q`]: `CH${bit}` });
    }
  });

  it("gives every dynamic RAM the same address lines, for the rows to be refreshed", () => {
    for (const ref of dynamicRams) {
      expect(named(ref)).toMatchObject({
        ...lines("A", "MA", 8),
        "/RAS": "/RAS",
        "/CAS": "/CAS",
        "/WE": "/WE",
      });
    }
  });

  it("gives the generator the line of the character and its code", () => {
    expect(named("U37")).toMatchObject({ ...lines("A", "L", 3), ...lines("O", "GD", 8) });
    for (let bit = 0; bit < 7; bit += 1) expect(named("U37")[`A${bit + 3}`]).toBe(`CH${bit}`);
  });

  it("clocks and clears the counters and registers from the right nets", () => {
    const still = { A: "GND", B: "GND", C: "GND", D: "GND", "/LOAD": "TIE VIDEO" };
    const line = { ...still, CLK: "/C5", "/CLR": "/FRAME END", ENP: "TIE VIDEO" };
    const dots = { QA: "8 MHZ", QB: "4 MHZ", QC: "2 MHZ", QD: "1 MHZ", RCO: "CELL END" };
    expect(named("U22")).toMatchObject({ ...still, ...dots, CLK: "CLK16", "/CLR": "TIE VIDEO" });
    expect(named("U23")).toMatchObject({
      "1A": "1 MHZ",
      "2A": "C3",
      "1CLR": "GND",
      "2CLR": "GND",
      "1QA": "C0",
    });
    expect(named("U23")).toMatchObject({ "1QB": "C1", "1QC": "C2", "1QD": "C3", "2QA": "C4", "2QB": "C5" });
    expect(named("U24")).toMatchObject({ ...line, ENT: "TIE VIDEO", QA: "L0", QB: "L1", QC: "L2", QD: "L3" });
    expect(named("U25")).toMatchObject({
      ...line,
      ENT: "LINE CARRY 1",
      QA: "L4",
      QB: "L5",
      QC: "L6",
      QD: "L7",
    });
    expect(named("U26")).toMatchObject({ ...line, ENT: "LINE CARRY 2", QA: "L8" });
    expect([named("U24")["RCO"], named("U25")["RCO"]]).toEqual(["LINE CARRY 1", "LINE CARRY 2"]);
    expect(named("U36")).toMatchObject({ CLK: "CELL END", "/CLR": "TIE VIDEO" });
    expect(named("U39")).toMatchObject({ CLK: "CELL END", "1D": "SHOW", "2D": "SHOW 1", "3D": "CH7" });
    expect(named("U38")).toMatchObject({ CLK: "8 MHZ", "SH_/LD": "/DOT LOAD", CLKINH: "GND", SER: "GND" });
    expect(named("U13")).toMatchObject({ "1CLK": "CLK16", "2CLK": "CLK16", "1D": "MREQ", "2D": "RAM GO" });
    expect(named("U13")).toMatchObject({ "/1CLR": "MREQ", "/2CLR": "MUX", "1Q": "MUX", "/2Q": "/CAS DRIVE" });
  });

  it("divides 2 MHz by 13 for 16 times 9600 baud", () => {
    const pins = named("U48");
    const start = ["A", "B", "C", "D"].reduce(
      (sum, pin, bit) => sum + (pins[pin] === "+5V" ? 1 << bit : 0),
      0,
    );
    expect(pins).toMatchObject({ CLK: "2 MHZ", RCO: "BAUD END", "/LOAD": "/BAUD LOAD", QD: "BAUD CLK" });
    const baud = 2e6 / (16 - start) / 16;
    expect(Math.abs(baud / 9600 - 1)).toBeLessThan(0.002);
    for (const pin of ["/TXC", "/RXC"]) expect(named("U44")[pin]).toBe("BAUD CLK");
  });

  it("takes the serial line through the line chips to the contacts a data terminal has", () => {
    const line = { "2": "LINE TXD", "3": "LINE RXD", "4": "LINE RTS", "5": "LINE CTS", "6": "LINE DSR" };
    expect(named("J5")).toMatchObject({ ...line, "7": "GND", "20": "LINE DTR" });
    expect(named("U45")).toMatchObject({
      "1A": "SERIAL TXD",
      "1Y": "LINE TXD",
      "2A": "SERIAL /RTS",
      "2B": "SERIAL /RTS",
    });
    expect(named("U45")).toMatchObject({
      "2Y": "LINE RTS",
      "3A": "SERIAL /DTR",
      "3B": "SERIAL /DTR",
      "3Y": "LINE DTR",
    });
    expect(named("U46")).toMatchObject({
      "1A": "LINE RXD",
      "1Y": "SERIAL RXD",
      "2A": "LINE CTS",
      "2Y": "SERIAL /CTS",
    });
    expect(named("U46")).toMatchObject({ "3A": "LINE DSR", "3Y": "SERIAL /DSR" });
    const chip = { TXD: "SERIAL TXD", RXD: "SERIAL RXD", "/RTS": "SERIAL /RTS", "/CTS": "SERIAL /CTS" };
    expect(named("U44")).toMatchObject({ ...chip, "/DTR": "SERIAL /DTR", "/DSR": "SERIAL /DSR" });
  });

  it("reads keys at port A and the rest at port B", () => {
    expect(named("U43")).toMatchObject({ ...lines("PA", "KEY ROW ", 8), ...lines("PB", "KEY SELECT ", 3) });
    expect(named("U43")).toMatchObject({ PB3: "BEEP", PB4: "TAPE WRITE", PB5: "TAPE RUN" });
    expect(named("U43")).toMatchObject({ PB6: "FRAME BLANK", PB7: "TAPE READ", "/CE": "/PIO SEL" });
    expect(named("U43")).toMatchObject({
      "/IORQ": "/IORQ",
      "/RD": "/RD",
      "B_/A": "A0",
      "C_/D": "A1",
      CLK: "CLK",
    });
    expect(named("U44")).toMatchObject({ CLK: "2 MHZ", RESET: "RESET" });
    expect(named("U44")).toMatchObject({ "/CS": "/SERIAL SEL", "/RD": "/RD", "/WR": "/WR", "C_/D": "A0" });
  });
});
