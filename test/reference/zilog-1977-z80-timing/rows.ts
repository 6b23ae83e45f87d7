import { readFileSync } from "node:fs";
import { z } from "zod";
import { CpuZ80, type RegistersZ80 } from "../../../src/core/cpu/cpu-z80.js";
import type { ReferenceRow } from "../support/check.js";

const opcodesByCycles = z.record(z.string(), z.string());

const data = z
  .strictObject({
    base: z.array(z.string()).length(16),
    ed: opcodesByCycles,
    cb: z.strictObject({ register: z.int(), memory: z.int(), memoryBit: z.int() }),
    index: opcodesByCycles,
    indexBits: z.strictObject({ change: z.int(), bit: z.int() }),
  })
  .parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** Clock cycles of one instruction. */
function cycles(code: readonly number[], registers: Partial<RegistersZ80>): number {
  const memory = new Uint8Array(0x10000);
  memory.set(code, 0x4000);
  const cpu = new CpuZ80({
    fetch: (address) => memory[address] ?? 0,
    read: (address) => memory[address] ?? 0,
    write: (address, value) => {
      memory[address] = value;
    },
    input: () => 0xff,
    output: () => {},
  });
  cpu.setRegisters({ pc: 0x4000, sp: 0x9000, hl: 0x5000, ix: 0x6000, iy: 0x6000, ...registers });
  cpu.step();
  if (cpu.stopped !== undefined) throw new Error(cpu.stopped.reason);
  return cpu.tStates;
}

const everyFlag = { f: 0xd7 };
const noFlag = { f: 0 };

/** Shortest and longest over the conditions, as `5/11`, or the one number there is. */
function range(code: readonly number[]): string {
  const found = [
    cycles(code, { ...everyFlag, bc: 0x0101, a: 1 }),
    cycles(code, { ...noFlag, bc: 0x0101, a: 1 }),
    cycles(code, { ...noFlag, bc: 0x0202, a: 1 }),
    cycles(code, { ...noFlag, bc: 0x0001, a: 1 }),
  ];
  const low = Math.min(...found);
  const high = Math.max(...found);
  return low === high ? String(low) : `${low}/${high}`;
}

function list(opcodes: string): number[] {
  return opcodes.split(" ").map((opcode) => Number.parseInt(opcode, 16));
}

const exact = { tolerance: 0, tag: "from memory" } as const;

function setRows(
  title: string,
  byCycles: Readonly<Record<string, string>>,
  prefix: readonly number[],
): ReferenceRow[] {
  return Object.entries(byCycles).map(([published, opcodes]) => ({
    ...exact,
    quantity: `Z80: clock cycles of ${title} ${opcodes}`,
    published,
    ours: [...new Set(list(opcodes).map((opcode) => range([...prefix, opcode])))].join(", "),
  }));
}

function bitRows(): ReferenceRow[] {
  const row = (
    quantity: string,
    published: number,
    code: (opcode: number) => number[],
    opcodes: number[],
  ) => ({
    ...exact,
    quantity: `Z80: clock cycles of ${quantity}`,
    published,
    ours: [...new Set(opcodes.map((opcode) => cycles(code(opcode), {})))].join(", "),
  });
  const all = Array.from({ length: 256 }, (_, opcode) => opcode).filter((opcode) => opcode >> 3 !== 6);
  const memory = all.filter((opcode) => (opcode & 7) === 6);
  const isTest = (opcode: number): boolean => opcode >> 6 === 1;
  const plain = (opcode: number): number[] => [0xcb, opcode];
  const indexed = (opcode: number): number[] => [0xdd, 0xcb, 5, opcode];
  const rows = [
    row(
      "CB, registers",
      data.cb.register,
      plain,
      all.filter((opcode) => (opcode & 7) !== 6),
    ),
    row(
      "CB, (HL)",
      data.cb.memory,
      plain,
      memory.filter((opcode) => !isTest(opcode)),
    ),
    row("CB, BIT of (HL)", data.cb.memoryBit, plain, memory.filter(isTest)),
    row(
      "DD CB",
      data.indexBits.change,
      indexed,
      memory.filter((opcode) => !isTest(opcode)),
    ),
    row("DD CB, BIT", data.indexBits.bit, indexed, memory.filter(isTest)),
  ];
  return rows.map(({ ours, ...rest }) => ({ ...rest, published: String(rest.published), ours }));
}

/** Clock cycles of every documented opcode. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const base = data.base.map((row, high): ReferenceRow => {
    const published = row.split(" ");
    const ours = published.map((value, low) =>
      value === "." || value === "-" ? value : range([high * 16 + low]),
    );
    return {
      ...exact,
      quantity: `Z80: clock cycles of opcodes ${high.toString(16).toUpperCase()}0 to ${high.toString(16).toUpperCase()}F`,
      published: row,
      ours: ours.join(" "),
    };
  });
  return [
    ...base,
    ...bitRows(),
    ...setRows("ED", data.ed, [0xed]),
    ...setRows("DD", data.index, [0xdd]),
    ...setRows("FD", data.index, [0xfd]),
  ];
}
