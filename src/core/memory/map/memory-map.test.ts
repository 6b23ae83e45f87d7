import { describe, expect, it } from "vitest";
import { loadBoard } from "../../../app/load-board.js";
import { openStore } from "../../../store/store.js";
import type { Board } from "../../board/board.js";
import type { Expression } from "../../board/expression.js";
import { passageOf } from "./circuit.js";
import { type MemoryArray, mapMemory } from "./memory-map.js";

const store = openStore();

function loaded(name: string) {
  const { value } = loadBoard(store, name);
  if (value === undefined) throw new Error(`${name} is not sound`);
  return value;
}

function arrays(name: string): readonly MemoryArray[] {
  const { board, types } = loaded(name);
  const { value, problems } = mapMemory(board, types);
  expect(problems).toEqual([]);
  return value ?? [];
}

/** Problems after a change of the memory map. */
function problemsOf(change: (board: Board) => Board): string[] {
  const { board, types } = loaded("merrow");
  const { value, problems } = mapMemory(change(board), types);
  expect(value === undefined).toBe(problems.some(({ severity }) => severity === "error"));
  return problems.map(({ code }) => code);
}

describe("the memory of a board", () => {
  it("is one array where regions share their chips, with the table of the board's page", () => {
    const [array, ...others] = arrays("pellow-16");
    expect(others).toEqual([]);
    expect(array?.ranges).toEqual([{ from: 0, to: 0x3fff }]);
    const rows = array?.lines.map(({ way }) => way.row?.bit);
    const columns = array?.lines.map(({ way }) => way.column?.bit);
    expect(rows).toEqual([0, 1, 2, 3, 4, 5, 6]);
    expect(columns).toEqual([7, 8, 9, 10, 11, 12, 13]);
    expect(array?.lines[6]?.way.shared.map(({ part }) => part)).toEqual(["R10", "U30"]);
    expect(array?.bits.map(({ part }) => part).join(" ")).toBe("U17 U18 U19 U20 U21 U22 U23 U24");
    expect(array?.bits[0]?.buffers).toEqual([{ part: "U31", pin: "2", role: "buffer" }]);
    expect(array?.controls.map(({ way }) => way.map(({ part }) => part))).toEqual([
      ["R11", "U38"],
      ["R12", "U12"],
      ["R13", "U13"],
    ]);
  });

  it("has row and column where the multiplexer's select line tells them apart", () => {
    const ram = arrays("merrow").find(({ regions }) => regions.includes("ram"));
    expect(ram?.lines.map(({ way }) => [way.row?.bit, way.column?.bit])).toEqual(
      [0, 1, 2, 3, 4, 5, 6, 7].map((bit) => [bit, bit + 8]),
    );
    expect(ram?.lines.some(({ way }) => way.isRowGuessed)).toBe(false);
    expect(ram?.bits.every(({ buffers }) => buffers.length === 0)).toBe(true);
  });

  it("is the first copy of a memory that is seen several times", () => {
    const screen = arrays("merrow").find(({ regions }) => regions.includes("screen"));
    expect(screen?.ranges).toEqual([{ from: 0x1000, to: 0x13ff }]);
    expect(screen?.copies).toEqual([{ from: 0x1000, to: 0x1fff }]);
    expect(screen?.bits.map(({ part }) => part).join(" ")).toBe("U33 U33 U33 U33 U34 U34 U34 U34");
  });

  it("is refused where the map contradicts itself", () => {
    const memory = loaded("merrow").board.memory;
    const altered = (id: string, change: Partial<Board["memory"][number]>): string[] =>
      problemsOf((board) => ({
        ...board,
        memory: memory.map((region) => (region.id === id ? { ...region, ...change } : region)),
      }));
    const chips = memory.find(({ id }) => id === "ram")?.chips ?? [];
    expect(altered("ram", { from: "1800" })).toEqual(["memory-overlap"]);
    expect(altered("ram", { chips: chips.slice(1) })).toEqual(["memory-hole"]);
    expect(altered("ram", { chips: [...chips, { part: "U4", bits: [0] }] })).toEqual(["memory-bit-twice"]);
    expect(altered("ram", { chips: [...chips.slice(1), { part: "U1", bits: [0] }] })).toContain(
      "memory-chip-unknown",
    );
    expect(problemsOf((board) => ({ ...board, memory: [] }))).toEqual(["memory-none"]);
  });
});

describe("what a function of pins passes on", () => {
  const none = (): undefined => undefined;
  const choice: Expression = ["and", ["not", "/G"], ["mux", "S", "A", "B"]];
  const low = (pin: string): boolean | undefined => (pin === "/G" ? false : undefined);

  it("is one pin, one of two, or nothing", () => {
    expect(passageOf("A", none)).toEqual({ kind: "follows", pin: "A" });
    expect(passageOf(["not", "A"], none)).toEqual({ kind: "follows", pin: "A" });
    expect(passageOf(choice, low)).toEqual({ kind: "chooses", select: "S", low: "A", high: "B" });
    expect(passageOf(["and", "A", "B"], none)).toBeUndefined();
    expect(passageOf(true, none)).toBeUndefined();
  });

  it("sees a multiplexer also when one of its inputs is tied", () => {
    const tied = (pin: string): boolean | undefined => (pin === "A" ? true : low(pin));
    expect(passageOf(choice, tied)).toMatchObject({ kind: "chooses", select: "S", high: "B" });
  });
});
