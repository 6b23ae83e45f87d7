import { describe, expect, it } from "vitest";
import { CpuZ80 } from "../../../src/core/cpu/cpu-z80.js";
import { expectRows } from "../support/expect-rows.js";
import { referenceRows } from "./rows.js";

/** True if a Z80 goes on after this opcode. */
function runs(...code: number[]): boolean {
  const memory = new Uint8Array(0x10000);
  memory.set(code, 0);
  const read = (address: number): number => memory[address] ?? 0;
  const cpu = new CpuZ80({ fetch: read, read, write: () => {}, input: () => 0, output: () => {} });
  cpu.step();
  return cpu.stopped === undefined;
}

const bytes = Array.from({ length: 256 }, (_, opcode) => opcode);

describe("the clock cycles of the Z80", () => {
  expectRows(referenceRows);

  it("are compared for every opcode that the core runs", async () => {
    const listed = new Map<string, Set<number>>();
    for (const { quantity } of await referenceRows()) {
      const [, prefix = "", opcodes = ""] = /of (ED|DD|FD) ((?:[0-9A-F]{2} ?)+)$/.exec(quantity) ?? [];
      if (prefix === "" || opcodes === "CB") continue;
      const set = listed.get(prefix) ?? new Set();
      for (const opcode of opcodes.split(" ")) set.add(Number.parseInt(opcode, 16));
      listed.set(prefix, set);
    }
    for (const prefix of [0xed, 0xdd, 0xfd]) {
      const known = [...(listed.get(prefix.toString(16).toUpperCase()) ?? [])].sort((a, b) => a - b);
      const ours = bytes.filter((opcode) => opcode !== 0xcb && runs(prefix, opcode));
      expect(ours, prefix.toString(16)).toEqual(known);
    }
    const afterBits = bytes.filter((opcode) => runs(0xdd, 0xcb, 0, opcode));
    expect(afterBits).toHaveLength(31);
    expect(bytes.filter((opcode) => !runs(0xcb, opcode))).toEqual([
      0x30, 0x31, 0x32, 0x33, 0x34, 0x35, 0x36, 0x37,
    ]);
  });
});
