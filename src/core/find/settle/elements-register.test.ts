import { describe, expect, it } from "vitest";
import { phasesOf, SettledBoard } from "../../../../test/support/settled-board.js";
import { Level } from "./value.js";

const supply = "PSU1:outside-supply 1=GND 2=+5V; ";

describe("an open latch", () => {
  /** A latch open in the first two moments, closed in the third. */
  const board = (): SettledBoard =>
    new SettledBoard(
      `${supply}J1:connector 1=A 2=OPEN 3=B; U1:74LS32 1=A 2=B 3=D 7=GND 14=+5V;
       U2:74LS373 1=GND 2=Q 3=D 10=GND 11=OPEN 20=+5V; U3:74LS04 1=Q 2=Y 7=GND 14=+5V`,
      {
        phases: phasesOf(
          { OPEN: "high", A: "low", B: "pulsing", Q: "pulsing" },
          { OPEN: "high", A: "high", B: "pulsing", Q: "high" },
          { OPEN: "low", A: "low", B: "pulsing", Q: "pulsing" },
        ),
      },
    );

  it("passes on what its data is in each moment: wrong only where that is wrong", () => {
    const latch = board();
    latch.apply(latch.held("B", Level.low));
    expect(latch.inEachPhase("D")).toEqual(["low!", "high", "low!"]);
    expect(latch.inEachPhase("Q").slice(0, 2)).toEqual(["low!", "high"]);
  });

  it("holds what it took when it is closed: wrong if that was wrong in any moment in which it was taken", () => {
    const latch = board();
    latch.apply(latch.held("B", Level.low));
    expect(latch.inEachPhase("Q")[2]).toBe("pulsing!");
  });

  it("stands still when it is never opened", () => {
    const latch = board();
    latch.apply(latch.held("OPEN", Level.low));
    expect(latch.sees("Q")).toBe("steady!");
  });
});

describe("a flip-flop", () => {
  const board = new SettledBoard(
    `${supply}X1:oscillator-module 7=GND 8=CLK 14=+5V; J1:connector 1=D 2=/CLR;
     U1:74LS74 1=/CLR 2=D 3=CLK 4=+5V 5=Q 6=/Q 7=GND 14=+5V; U2:74LS04 1=Q 2=A 3=/Q 4=B 7=GND 14=+5V`,
    { steady: { "/CLR": "high" } },
  );

  it.each([
    ["follows data that is stuck", "D", Level.low, ["low!", "high!"]],
    ["keeps still data still", "D", Level.steady, ["steady!", "steady!"]],
    ["takes data that moves wrongly", "D", Level.pulsing, ["pulsing!", "pulsing!"]],
    ["is held by its clear", "/CLR", Level.low, ["low!", "high!"]],
    ["is disturbed by a clear that moves", "/CLR", Level.pulsing, ["pulsing!", "pulsing!"]],
    ["stands without a clock", "CLK", Level.high, ["steady!", "steady!"]],
  ] as const)("%s", (_, net, level, expected) => {
    board.apply(board.held(net, level));
    expect([board.sees("Q"), board.sees("/Q")]).toEqual(expected);
    board.reset();
  });
});

describe("a shift register", () => {
  const board = new SettledBoard(
    `${supply}X1:oscillator-module 7=GND 8=CLK 14=+5V; J1:connector 1=LOAD 2=D0 3=D1;
     U1:74LS166 1=GND 2=D0 3=D1 4=D0 5=D1 6=GND 7=CLK 8=GND 9=+5V 10=D0 11=D1 12=D0 13=OUT 14=D1 15=LOAD 16=+5V;
     U2:74LS04 1=OUT 2=Y 7=GND 14=+5V`,
  );

  it("shifts its serial input for ever when it never loads, and its last bit when it always does", () => {
    expect(board.sees("OUT")).toBe("pulsing");
    board.apply(board.cut("U1.15"));
    expect(board.sees("OUT")).toBe("low!");
    board.reset().apply(board.held("LOAD", Level.low));
    expect(board.sees("OUT")).toBe("pulsing!");
    board.reset();
  });

  it("moves with wrong information when one of its inputs is wrong", () => {
    board.apply(board.held("D1", Level.high));
    expect(board.sees("OUT")).toBe("pulsing!");
    board.reset();
  });
});

describe("a counter", () => {
  const board = new SettledBoard(
    `${supply}X1:oscillator-module 7=GND 8=CLK 14=+5V; J1:connector 1=/LOAD 2=RUN;
     U1:74LS163 1=+5V 2=CLK 3=GND 4=+5V 5=GND 6=GND 7=RUN 8=GND 9=/LOAD 10=+5V 13=QB 14=QA 15=RCO 16=+5V;
     U2:74LS04 1=QA 2=A 3=QB 4=B 5=RCO 6=C 7=GND 14=+5V`,
    { steady: { RUN: "high" } },
  );

  it("stands at its data when it always loads", () => {
    board.apply(board.held("/LOAD", Level.low));
    expect(["QA", "QB", "RCO"].map((net) => board.sees(net))).toEqual(["low!", "high!", "steady!"]);
    board.reset();
  });

  it("counts on, wrongly, when it never loads though it should", () => {
    board.apply(board.cut("U1.9"));
    expect(["QA", "QB"].map((net) => board.sees(net))).toEqual(["pulsing!", "pulsing!"]);
    board.reset();
  });

  it("stands still when it is not let run", () => {
    board.apply(board.held("RUN", Level.low));
    expect(board.sees("QA")).toBe("steady!");
    board.reset();
  });
});
