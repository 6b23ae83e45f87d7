import { describe, expect, it } from "vitest";
import { loadBoard } from "../../../app/load-board.js";
import { openStore } from "../../../store/store.js";
import type { Board, BoardBeacon } from "../../board/board.js";
import { type PlanOptions, planSelfTest, type SelfTestPlan } from "./plan.js";
import { meaningOf } from "./verdict-parts.js";

const store = openStore();

function loaded(name: string) {
  const { value } = loadBoard(store, name);
  if (value === undefined) throw new Error(`${name} is not sound`);
  return value;
}

function planOf(name: string, options?: PlanOptions): SelfTestPlan {
  const { board, types } = loaded(name);
  const { value, problems } = planSelfTest(board, types, options);
  if (value === undefined) throw new Error(problems.map(({ message }) => message).join(" "));
  return value;
}

function problemsOf(options: PlanOptions, change = (board: Board): Board => board): string[] {
  const { board, types } = loaded("merrow");
  const { value, problems } = planSelfTest(change(board), types, options);
  expect(value === undefined).toBe(problems.length > 0);
  return problems.map(({ code }) => code);
}

describe("the plan of a self-test", () => {
  it("takes ROM, banks, refresh and beacons of a Z80 board from its memory map", () => {
    const plan = planOf("merrow");
    expect(plan.processor).toEqual({ part: "U1", instructionSet: "z80" });
    expect(plan.rom).toEqual({ part: "U2", type: "2732", start: 0, bytes: 0x1000 });
    expect(plan.banks.map(({ ranges, bitMask, lineMask }) => ({ ranges, bitMask, lineMask }))).toEqual([
      { ranges: [{ from: 0x2000, to: 0xffff }], bitMask: 0xff, lineMask: 0xffff },
      { ranges: [{ from: 0x1000, to: 0x13ff }], bitMask: 0xff, lineMask: 0x03ff },
    ]);
    expect(plan.refresh).toEqual({ by: "processor", rows: 128 });
    expect(plan.bus.address).toBe(0xe0);
    expect(plan.ports).toHaveLength(1);
    expect(plan.screen?.characters).toBe("ascii");
    expect(plan.backgrounds).toEqual([0x00, 0x55, 0x33, 0x0f]);
  });

  it("takes the ROM with the reset vector of a 6502 board", () => {
    const plan = planOf("pellow-16");
    expect(plan.rom).toEqual({ part: "U15", type: "2732", start: 0xf000, bytes: 0x1000 });
    expect(plan.banks).toHaveLength(1);
    expect(plan.banks[0]?.ranges).toEqual([{ from: 0, to: 0x3fff }]);
    expect(plan.refresh).toEqual({ by: "picture", rows: 128 });
    expect(plan.ports.map(({ on }) => on)).toEqual([1, 2]);
  });

  it("keeps to the ranges that are asked for", () => {
    const plan = planOf("merrow", { ranges: [{ from: 0x4000, to: 0x40ff }], refreshRows: 256 });
    expect(plan.banks).toHaveLength(1);
    expect(plan.banks[0]?.lineMask).toBe(0x00ff);
    expect(plan.refresh?.rows).toBe(256);
  });

  it("refuses what cannot be built", () => {
    expect(problemsOf({ ranges: [{ from: 0x0800, to: 0x2fff }] })).toEqual(["range-outside"]);
    expect(problemsOf({ ranges: [{ from: 0x3000, to: 0x2fff }] })).toEqual(["range-outside"]);
    expect(
      problemsOf({
        ranges: [
          { from: 0x3000, to: 0x3fff },
          { from: 0x3800, to: 0x4fff },
        ],
      }),
    ).toEqual(["range-overlap"]);
    expect(problemsOf({ beacons: ["lighthouse"] })).toEqual(["beacon-unknown", "beacon-missing"]);
    expect(problemsOf({ beacons: ["loudspeaker"] })).toEqual(["beacon-missing"]);
    expect(problemsOf({ clockHertz: 4 })).toEqual(["clock-impossible"]);
    expect(problemsOf({ unitSeconds: 0 })).toEqual(["time-impossible"]);
    expect(problemsOf({ retentionSeconds: Number.NaN })).toEqual(["time-impossible"]);
    expect(problemsOf({}, ({ selfTest: _, ...board }) => board)).toEqual(["self-test-means"]);
    expect(problemsOf({}, (board) => ({ ...board, processor: "U2" }))).toContain("self-test-processor");
    const withoutRom = (board: Board): Board => ({
      ...board,
      memory: board.memory.filter(({ kind }) => kind !== "rom"),
    });
    expect(problemsOf({}, withoutRom)).toEqual(["self-test-rom"]);
  });
});

describe("a bus beacon", () => {
  const moved =
    (change: Partial<Extract<BoardBeacon, { kind: "bus" }>>) =>
    (board: Board): Board => {
      const { selfTest } = board;
      if (selfTest === undefined) throw new Error("merrow has means");
      const beacons = selfTest.beacons.map((beacon) =>
        beacon.kind === "bus" ? { ...beacon, ...change } : beacon,
      );
      return { ...board, selfTest: { ...selfTest, beacons } };
    };

  it("must be on a line that its address moves and nothing else does", () => {
    for (const change of [
      { pin: "9" },
      { part: "U99" },
      { pin: "16" },
      { address: "20" },
      { part: "U14", pin: "4", space: "memory", address: "0800" },
      { part: "U14", pin: "11", space: "memory", address: "4000" },
      { part: "U16", pin: "3", space: "memory", address: "0000", active: "low" },
    ] as const)
      expect(problemsOf({}, moved(change)), JSON.stringify(change)).toEqual(["beacon-disturbed"]);
    expect(problemsOf({}, moved({ pin: "14", address: "20" }))).toEqual([]);
    expect(problemsOf({}, moved({ pin: "9", address: "C4" }))).toEqual([]);
  });
});

describe("what a verdict means on a board", () => {
  it("names the chip, then what stands between it and the processor", () => {
    expect(meaningOf(planOf("merrow"), { kind: "chip", bank: 0, bit: 3 })).toEqual({
      title: "data bit 3",
      parts: ["U6"],
    });
    expect(meaningOf(planOf("pellow-16"), { kind: "chip", bank: 0, bit: 3 }).parts).toEqual(["U20", "U31"]);
    expect(meaningOf(planOf("merrow"), { kind: "chip", bank: 1, bit: 6 }).parts).toEqual(["U34", "U35"]);
  });

  it("names multiplexers of an address line, then resistors", () => {
    expect(meaningOf(planOf("merrow"), { kind: "address-line", bank: 0, line: 12 }).parts).toEqual(["U12"]);
    const parts = meaningOf(planOf("pellow-16"), { kind: "address-line", bank: 0, line: 8 }).parts;
    expect(parts.slice(0, 2)).toEqual(["U29", "U27"]);
    expect(parts).toContain("R5");
  });

  it("names what makes the strobes where nothing answers", () => {
    const { parts } = meaningOf(planOf("pellow-16"), { kind: "no-answer", bank: 0 });
    expect(parts).toEqual(expect.arrayContaining(["U12", "U38", "R11", "U17", "U24"]));
    expect(meaningOf(planOf("merrow"), { kind: "rom" }).parts).toEqual(["U2"]);
    expect(() => meaningOf(planOf("pellow-16"), { kind: "no-answer", bank: 1 })).toThrow(RangeError);
  });
});
