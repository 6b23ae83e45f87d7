import { describe, expect, it } from "vitest";
import { loadPartTypes } from "../../../../test/boards/support.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import type { Board } from "../../board/board.js";
import { layWiring, type Wiring } from "./circuit.js";
import { samplingOf, writablePhases } from "./sampling.js";

const phases: Board["phases"] = [
  { id: "fetch", title: "a fetch", cycle: "fetch" },
  { id: "write", title: "a write", cycle: "io-write" },
  { id: "read", title: "a read", cycle: "io-read" },
];

/** A Z80 with bit 0 and 1 of its bus, a flip-flop or latch on bit 0, and one on a line of its own. */
function wiringOf(type: "74LS74" | "74LS373", more: Partial<Board> = {}): Wiring {
  const chip =
    type === "74LS74" ? "2=D0 3=CK 5=Q 9=R 11=CK 12=X 14=+5V 7=GND" : "3=D0 11=CK 2=Q 20=+5V 10=GND";
  const text = `U1:Z80 14=D0 15=D1 11=+5V 29=GND; U2:${type} ${chip}`;
  return layWiring(tinyBoard(text, { phases, ...more }), loadPartTypes());
}

function sampling(
  wiring: Wiring,
  register: number,
): { readonly samplePhases: number; readonly written: boolean } {
  const part = wiring.parts[wiring.partIndex.get("U2") ?? -1];
  const behaviour = part?.type.behaviour;
  const found = behaviour?.kind === "logic" ? behaviour.registers?.[register] : undefined;
  if (part === undefined || found === undefined) throw new RangeError("U2 has no such register");
  return samplingOf(wiring, part, found);
}

const netOf = (wiring: Wiring, name: string): number => wiring.netIndex.get(name) ?? -1;

describe("when data can be meant for a part", () => {
  const wiring = wiringOf("74LS74");

  it("is when the processor writes, if all of it is on its data bus", () => {
    expect(writablePhases(wiring, [netOf(wiring, "D0"), netOf(wiring, "D1"), -1])).toBe(0b010);
    expect(writablePhases(wiring, [netOf(wiring, "D0"), netOf(wiring, "X")])).toBe(0b111);
    expect(writablePhases(wiring, [])).toBe(0b111);
  });

  it("is always, where no phase is a write", () => {
    const reads = wiringOf("74LS74", { phases: phases.filter(({ id }) => id !== "write") });
    expect(writablePhases(reads, [netOf(reads, "D0")])).toBe(0b11);
  });
});

describe("when a register takes its data", () => {
  it("is when the processor writes for a flip-flop on its bus, else always", () => {
    const wiring = wiringOf("74LS74");
    expect(sampling(wiring, 0)).toEqual({ samplePhases: 0b010, written: true });
    expect(sampling(wiring, 1)).toEqual({ samplePhases: 0b111, written: false });
  });

  it("is always for a latch, which may hold addresses", () => {
    expect(sampling(wiringOf("74LS373"), 0)).toEqual({ samplePhases: 0b111, written: false });
  });

  it("is what the board file says", () => {
    const board = tinyBoard("U1:Z80 14=D0 11=+5V 29=GND; U2:74LS74 2=D0 3=CK 5=Q 14=+5V 7=GND", { phases });
    const parts = board.parts.map((part) => (part.ref === "U2" ? { ...part, samplesIn: ["read"] } : part));
    const wiring = layWiring({ ...board, parts }, loadPartTypes());
    expect(sampling(wiring, 0)).toEqual({ samplePhases: 0b100, written: false });
  });
});
