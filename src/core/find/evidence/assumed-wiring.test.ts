import { describe, expect, it } from "vitest";
import { readPartLibrary } from "../../../../test/support/part-types.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import { layWiring } from "../settle/circuit.js";
import { blurred, chanceWiredOtherwise } from "./assumed-wiring.js";

const board = tinyBoard("U1:74LS04 1=A 2=Y 7=GND 14=+5V; U2:74LS04 1=Y 2=Z 7=GND 14=+5V", {
  assumedWiredOtherwise: 0.2,
});
const parts = board.parts.map((part) => ({
  ...part,
  assumedPins: part.ref === "U1" ? ["1", "2"] : ["2"],
}));
const wiring = layWiring({ ...board, parts }, readPartLibrary());
const net = (name: string): number => wiring.netIndex.get(name) ?? -1;
const pin = (label: string): number => wiring.pinIndex.get(label) ?? -1;

describe("assumed wiring", () => {
  it("concerns assumed pins, and nets all of whose pins are assumed", () => {
    expect(chanceWiredOtherwise(wiring, net("Y"), pin("U1.2"))).toBe(0.2);
    expect(chanceWiredOtherwise(wiring, net("Y"), pin("U2.1"))).toBe(0);
    expect(chanceWiredOtherwise(wiring, net("A"), -1)).toBe(0.2);
    expect(chanceWiredOtherwise(wiring, net("Y"), -1)).toBe(0);
    expect(
      chanceWiredOtherwise(layWiring({ ...board, parts: board.parts }, readPartLibrary()), net("A"), -1),
    ).toBe(0);
  });

  it("mixes an even share into each row, so that rows still sum to 1", () => {
    const look = {
      outcomes: ["a", "b", "c", "d"],
      codeCount: 1,
      likelihood: Float64Array.of(0.97, 0.01, 0.01, 0.01),
      codeOf: () => 0,
    };
    const { likelihood } = blurred(look, 0.2);
    expect([...likelihood].map((p) => Number(p.toFixed(6)))).toEqual([0.826, 0.058, 0.058, 0.058]);
    expect(blurred(look, 0)).toBe(look);
  });
});
