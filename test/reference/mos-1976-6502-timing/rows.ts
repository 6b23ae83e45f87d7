import { readFileSync } from "node:fs";
import { z } from "zod";
import { Cpu6502, type Registers6502 } from "../../../src/core/cpu/cpu-6502.js";
import { opcodes6502 } from "../../../src/core/cpu/opcodes-6502.js";
import type { ReferenceRow } from "../support/check.js";

const data = z
  .strictObject({
    groups: z.array(z.strictObject({ names: z.string(), cycles: z.record(z.string(), z.string()) })),
  })
  .parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** Clock cycles of one instruction at 4000 whose operand bytes are 40 and, where a page is to be crossed, F0. */
function cycles(opcode: number, operand: number, registers: Partial<Registers6502>): number {
  const memory = new Uint8Array(0x10000);
  memory.set([opcode, operand, 0x50], 0x4000);
  // A pointer in page zero for (zero),y.
  memory.set([operand, 0x60], operand);
  const cpu = new Cpu6502({
    read: (address) => memory[address] ?? 0,
    write: (address, value) => {
      memory[address] = value;
    },
  });
  cpu.setRegisters({ pc: 0x4000, s: 0x80, x: 0x20, y: 0x20, ...registers });
  cpu.step();
  return cpu.cycles;
}

function range(opcode: number): string {
  const found = new Set<number>();
  for (const operand of [0x40, 0xf0]) for (const p of [0x00, 0xff]) found.add(cycles(opcode, operand, { p }));
  return [...found].sort((a, b) => a - b).join("/");
}

/** Opcodes of a mnemonic in a mode. */
export function opcodesOf(name: string, mode: string): number[] {
  return opcodes6502.flatMap((entry, opcode) =>
    entry?.name === name && entry.mode === mode ? [opcode] : [],
  );
}

/** Each group by addressing mode: how many opcodes, and their clock cycles. */
export function groupedOpcodes(): { names: string; mode: string; published: string; opcodes: number[] }[] {
  return data.groups.flatMap(({ names, cycles: byMode }) =>
    Object.entries(byMode).map(([mode, published]) => ({
      names,
      mode,
      published,
      opcodes: names.split(" ").flatMap((name) => opcodesOf(name, mode)),
    })),
  );
}

/** Clock cycles of every documented opcode. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  return groupedOpcodes().map(({ names, mode, published, opcodes }) => ({
    quantity: `6502: clock cycles of ${names}, ${mode}`,
    published,
    ours: [...new Set(opcodes.map(range))].join(", "),
    tolerance: 0,
    tag: "from memory",
  }));
}
