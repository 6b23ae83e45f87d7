import { describe, expect, it } from "vitest";
import { SettledBoard } from "../../../../test/support/settled-board.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import { healthyRates } from "./rates.js";

const supply = "PSU1:outside-supply 1=GND 2=+5V; ";
const clock = `${supply}X1:oscillator-module 7=GND 8=CLK 14=+5V; `;

/** Rates of the nets, in hertz, of a board whose part X1 runs at the given rate. */
function ratesOf(text: string, hertz: number, ...nets: readonly string[]): number[] {
  const board = tinyBoard(text);
  const parts = board.parts.map((part) => (part.ref === "X1" ? { ...part, frequencyHertz: hertz } : part));
  const settled = new SettledBoard({ ...board, parts });
  const rates = healthyRates(settled.circuit);
  return nets.map((net) => rates[settled.net(net)] ?? 0);
}

describe("healthy rates", () => {
  it("start at a crystal and pass through its amplifier, links and gates whose other inputs rest", () => {
    const text = `${supply}X1:crystal 1=XO 2=XI; R1:resistor 1=XI 2=XO; R2:resistor 1=A 2=B;
      U1:74LS04 1=XI 2=XO 3=XO 4=A 7=GND 14=+5V; U2:74LS00 1=B 2=+5V 3=Y 4=Y 5=GND 6=HELD 7=GND 14=+5V;
      U3:74LS86 1=Y 2=+5V 3=Z 4=HELD 5=GND 6=W 7=GND 14=+5V`;
    expect(ratesOf(text, 12e6, "XI", "XO", "A", "B", "Y", "Z")).toEqual(Array(6).fill(12e6));
    expect(ratesOf(text, 12e6, "HELD", "W")).toEqual([0, 0]);
  });

  it("are unknown without a frequency, and where signals of two clocks meet", () => {
    const text = `${clock}J1:connector 1=OTHER; U1:74LS00 1=CLK 2=OTHER 3=Y 4=CLK 5=CLK 6=Z 7=GND 14=+5V;
      U2:74LS04 1=Y 2=V 3=Z 4=W 7=GND 14=+5V`;
    expect(ratesOf(text, 1e6, "CLK", "Z", "Y", "OTHER")).toEqual([1e6, 1e6, 0, 0]);
    expect(ratesOf(text.replace("X1:", "X2:"), 1e6, "CLK", "Z")).toEqual([0, 0]);
  });

  it("are halved by a flip-flop that takes its own complement, and kept by one that takes a slower signal", () => {
    const text = `${clock}U1:74LS74 1=+5V 2=/Q 3=CLK 4=+5V 5=Q 6=/Q 7=GND 8=/L 9=LATE 10=+5V 11=CLK 12=Q 13=+5V 14=+5V;
      U2:74LS04 1=LATE 2=A 3=/L 4=B 7=GND 14=+5V`;
    expect(ratesOf(text, 8e6, "Q", "/Q", "LATE", "/L")).toEqual([4e6, 4e6, 4e6, 4e6]);
  });

  it("are divided by a ring of flip-flops: four stages with a twist divide by eight", () => {
    const text = `${clock}U1:74LS175 1=+5V 2=Q1 3=/Q1 4=/Q4 5=Q1 6=/Q2 7=Q2 8=GND 9=CLK 10=Q3 11=/Q3 12=Q2 13=Q3 14=/Q4 15=Q4 16=+5V;
      U2:74LS08 1=Q1 2=Q3 3=Y 7=GND 14=+5V; U3:74LS04 1=Y 2=Z 7=GND 14=+5V`;
    expect(ratesOf(text, 8e6, "Q1", "Q4", "/Q4", "Y")).toEqual([1e6, 1e6, 1e6, 1e6]);
  });

  it("are divided by each stage of ripple counters in a row", () => {
    const text = `${clock}U1:74LS393 1=CLK 2=GND 3=Q1 4=Q2 5=Q3 6=Q4 7=GND 8=Q8 9=Q7 10=Q6 11=Q5 12=GND 13=Q4 14=+5V;
      U2:74LS21 1=Q1 2=Q3 4=Q8 5=+5V 6=Y 7=GND 14=+5V; U3:74LS04 1=Y 2=Z 7=GND 14=+5V`;
    expect(ratesOf(text, 256_000, "Q1", "Q4", "Q5", "Q8")).toEqual([128_000, 16_000, 8000, 1000]);
    // Of 256 states the gate is high in two, four, ... runs: it rises 32 times.
    expect(ratesOf(text, 256_000, "Y")).toEqual([32_000]);
  });

  it("follow a counter that loads itself: from 3 to 15 are thirteen states", () => {
    const text = `${clock}U1:74LS163 1=+5V 2=CLK 3=+5V 4=+5V 5=GND 6=GND 7=+5V 8=GND 9=/LOAD 10=+5V 11=QD 14=QA 15=RCO 16=+5V;
      U2:74LS04 1=RCO 2=/LOAD 3=QD 4=A 5=QA 6=B 7=GND 14=+5V`;
    expect(ratesOf(text, 2e6, "RCO", "/LOAD")).toEqual([2e6 / 13, 2e6 / 13]);
  });

  it("follow counters that run on each other's carry", () => {
    const text = `${clock}U1:74LS163 1=+5V 2=CLK 7=+5V 8=GND 9=+5V 10=+5V 15=CARRY 16=+5V;
      U2:74LS163 1=+5V 2=CLK 7=+5V 8=GND 9=+5V 10=CARRY 11=QD 14=QA 15=TOP 16=+5V;
      U3:74LS04 1=QA 2=A 3=QD 4=B 5=TOP 6=C 7=GND 14=+5V`;
    expect(ratesOf(text, 16e6, "CARRY", "QA", "QD", "TOP")).toEqual([1e6, 500_000, 62_500, 62_500]);
  });

  it("follow a ripple counter that a gate clears: ten states", () => {
    const text = `${clock}U1:74LS393 1=CLK 2=CLEAR 3=Q1 4=Q2 5=Q3 6=Q4 7=GND 12=GND 13=GND 14=+5V;
      U2:74LS08 1=Q2 2=Q4 3=CLEAR 7=GND 14=+5V; U3:74LS04 1=Q1 2=A 3=Q3 4=B 7=GND 14=+5V`;
    expect(ratesOf(text, 10_000, "Q4", "Q1")).toEqual([1000, 5000]);
  });

  it("divide a free-running decade counter by what its type says", () => {
    const text = `${clock}U1:74LS390 1=CLK 2=GND 3=QA 4=QA 5=QB 6=QC 7=QD 8=GND 14=GND 16=+5V;
      U2:74LS04 1=QA 2=A 3=QD 4=B 7=GND 14=+5V`;
    const [a, d] = ratesOf(text, 1e6, "QA", "QD");
    expect([a, d]).toEqual([500_000, 100_000]);
  });
});
