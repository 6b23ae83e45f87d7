import { describe, expect, it } from "vitest";
import { Cpu6502 } from "../../../src/core/cpu/cpu-6502.js";
import { opcodes6502 } from "../../../src/core/cpu/opcodes-6502.js";
import { expectRows } from "../support/expect-rows.js";
import { groupedOpcodes, referenceRows } from "./rows.js";

describe("the clock cycles of the 6502", () => {
  expectRows(referenceRows);

  it("are compared for each of the 151 opcodes once", () => {
    const listed = groupedOpcodes().flatMap(({ opcodes }) => opcodes);
    const known = opcodes6502.flatMap((entry, opcode) => (entry === undefined ? [] : [opcode]));
    expect(known).toHaveLength(151);
    expect(listed.sort((a, b) => a - b)).toEqual(known);
  });

  it("end at an undefined opcode, with a reason", () => {
    for (const [opcode, entry] of opcodes6502.entries()) {
      const cpu = new Cpu6502({ read: () => opcode, write: () => {} });
      cpu.setRegisters({ pc: 0x1234 });
      cpu.step();
      const reason = cpu.stopped?.reason;
      const hex = opcode.toString(16).toUpperCase().padStart(2, "0");
      expect(reason).toBe(
        entry === undefined ? `The 6502 met the undefined opcode ${hex} at 1234.` : undefined,
      );
    }
  });
});
