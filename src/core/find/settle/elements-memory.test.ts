import { describe, expect, it } from "vitest";
import { phasesOf, SettledBoard } from "../../../../test/support/settled-board.js";
import { Level, wrongFlag } from "./value.js";

/** A static memory on a line that a buffer drives while it is written: written, read, left alone. */
function staticMemory(): SettledBoard {
  const board = new SettledBoard(
    `PSU1:outside-supply 1=GND 2=+5V; J1:connector 1=A0 2=/CS 3=/WE 4=D 5=/PUT;
     U1:2114 5=A0 8=/CS 9=GND 10=/WE 14=LINE 18=+5V; U2:74LS125 1=/PUT 2=D 3=LINE 7=GND 14=+5V;
     U3:74LS04 1=LINE 2=Y 7=GND 14=+5V`,
    {
      phases: phasesOf(
        { A0: "high", D: "pulsing", "/CS": "low", "/WE": "low", "/PUT": "low" },
        { A0: "high", D: "pulsing", "/CS": "low", "/WE": "high", "/PUT": "high" },
        { A0: "high", D: "pulsing", "/CS": "high", "/WE": "high", "/PUT": "high" },
      ),
    },
  );
  expect(board.circuit.unexplained).toEqual([]);
  return board;
}

/** What the line carries while the memory is read. */
const read = (board: SettledBoard): string | undefined => board.inEachPhase("LINE")[1];

describe("a memory", () => {
  it("gives back what was written, and only while it is read", () => {
    expect(staticMemory().inEachPhase("LINE")).toEqual(["pulsing", "pulsing", "floating"]);
  });

  it.each([
    ["its data was wrong when written", (b: SettledBoard) => b.held("D", Level.pulsing)],
    ["nothing was written", (b: SettledBoard) => b.held("/WE", Level.high)],
    ["its address is wrong", (b: SettledBoard) => b.cut("U1.5")],
    ["its data bit is lost", (b: SettledBoard) => b.inside("U1", { lostBits: [0] })],
    ["all its bits are lost", (b: SettledBoard) => b.inside("U1", { lostBits: [-1] })],
    ["some cells of it are lost", (b: SettledBoard) => b.inside("U1", { lostBits: [0], someCells: true })],
  ])("reads wrong where %s", (_, fault) => {
    const board = staticMemory();
    board.apply(fault(board));
    expect(read(board)).toBe("pulsing!");
  });

  it("minds no other bit's loss, and no wrong data while it is not written to", () => {
    const board = staticMemory();
    board.apply(board.inside("U1", { lostBits: [3] }));
    expect(read(board)).toBe("pulsing");
    // The gate that listens drags the line in all phases, but a line that rests low was written low.
    board.reset().apply(board.bridge("Y", "GND"));
    expect(read(board)).toBe("pulsing");
  });

  it("is written by chance where its write line moves, and then holds nothing", () => {
    const board = staticMemory();
    board.apply(board.held("/WE", Level.pulsing));
    expect(read(board)).toBe("pulsing!");
  });

  it("drives nothing while it is not selected, and nothing without supply", () => {
    const board = staticMemory();
    board.apply(board.held("/CS", Level.high));
    expect(read(board)).toBe("floating!");
    board.reset().apply({ kind: "pin", pin: board.pin("U1.18"), value: Level.railAbsent | wrongFlag });
    expect(read(board)).toBe("steady!");
  });

  it("fights what else drives its line", () => {
    const board = staticMemory();
    board.apply(board.held("/PUT", Level.low));
    expect(read(board)).toBe("fighting!");
  });
});

describe("a dynamic memory", () => {
  it("holds nothing once a strobe stands still, nor without any of its supplies", () => {
    const board = new SettledBoard(
      `PSU1:outside-supply 1=GND 2=+5V 3=+12V 4=-5V; J1:connector 1=/RAS 2=/CAS 3=/WE 4=D;
       U1:4116 1=-5V 2=D 3=/WE 4=/RAS 8=+12V 9=+5V 14=Q 15=/CAS 16=GND; U2:74LS04 1=Q 2=Y 7=GND 14=+5V`,
      {
        phases: phasesOf(
          { D: "pulsing", "/RAS": "low", "/CAS": "low", "/WE": "low" },
          { D: "pulsing", "/RAS": "low", "/CAS": "low", "/WE": "high" },
          { D: "pulsing", "/RAS": "high", "/CAS": "high", "/WE": "high" },
        ),
      },
    );
    const reads = (): string | undefined => board.inEachPhase("Q")[1];
    expect(reads()).toBe("pulsing");
    board.apply(board.held("/RAS", Level.low));
    expect(reads()).toBe("steady!");
    for (const rail of ["+12V", "-5V", "+5V"]) {
      board.reset().apply(board.held(rail, Level.railAbsent));
      expect(reads(), rail).toBe("steady!");
    }
    board.reset();
    expect(reads()).toBe("pulsing");
  });
});

describe("a peripheral", () => {
  // A 6821, written in the first moment and read in the second; PA0 is an output, PA1 an input.
  const board = new SettledBoard(
    `PSU1:outside-supply 1=GND 2=+5V; J1:connector 1=/SEL 2=RW 3=E 4=D 5=/PUT 6=RS 7=/RST 8=SOURCE;
     U1:6821 1=GND 2=OUT 3=IN 20=+5V 21=RW 22=+5V 23=/SEL 24=+5V 25=E 32=BUS1 33=BUS0 34=/RST 35=RS 36=RS;
     U2:74LS125 1=/PUT 2=D 3=BUS0 4=/PUT 5=D 6=BUS1 7=GND 14=+5V;
     U3:74LS04 1=BUS0 2=Y 3=OUT 4=Z 5=BUS1 6=W 7=GND 8=IN 9=SOURCE 14=+5V`,
    {
      phases: phasesOf(
        { "/SEL": "low", RW: "low", E: "high", D: "pulsing", "/PUT": "low", RS: "low", "/RST": "high" },
        { "/SEL": "low", RW: "high", E: "high", D: "pulsing", "/PUT": "high", RS: "low", "/RST": "high" },
        { "/SEL": "high", RW: "high", E: "low", D: "pulsing", "/PUT": "high", RS: "low", "/RST": "high" },
      ),
    },
  );
  const reports = (): (string | undefined)[] => ["BUS0", "BUS1"].map((net) => board.inEachPhase(net)[1]);

  it("puts out and reports what it was set up to", () => {
    expect(board.circuit.unexplained).toEqual([]);
    expect(board.sees("OUT")).toBe("pulsing");
    expect(board.inEachPhase("BUS0")).toEqual(["pulsing", "pulsing", "floating"]);
    expect(reports()).toEqual(["pulsing", "pulsing"]);
  });

  it.each([
    ["the data it was set up with", () => board.held("D", Level.pulsing)],
    ["a register select", () => board.held("RS", Level.high)],
    ["its reset", () => board.held("/RST", Level.low)],
  ])("does neither right with a wrong level on %s", (_, fault) => {
    board.apply(fault());
    expect(board.sees("OUT")).toBe("steady!");
    expect(reports()).toEqual(["pulsing!", "pulsing!"]);
    board.reset();
  });

  it("reports a wrong input as wrong on its own data bit, and puts out the rest", () => {
    board.apply(board.held("IN", Level.low));
    expect(reports()).toEqual(["pulsing", "pulsing!"]);
    expect(board.sees("OUT")).toBe("pulsing");
    board.reset();
  });

  it("loses one data bit alone: what it reports there and what that bit sets", () => {
    board.apply(board.inside("U1", { lostBits: [0] }));
    expect(reports()).toEqual(["pulsing!", "pulsing"]);
    expect(board.sees("OUT")).toBe("pulsing!");
    board.reset();
  });
});
