import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { CpuZ80 } from "../../cpu/cpu-z80.js";
import { encodeZ80, hexZ80 } from "./z80-instructions.js";

// What an independent assembler makes of the same text; recorded, so that it need not be installed.
const { instructions } = z
  .strictObject({ assembler: z.string(), instructions: z.record(z.string(), z.string()) })
  .parse(
    JSON.parse(readFileSync(new URL("../../../../test/memory/z80-encodings.json", import.meta.url), "utf8")),
  );

function bytesOf(source: string): number[] {
  return encodeZ80(source).encoded.map((part) => {
    if (typeof part !== "number") throw new Error(`${source} has a label`);
    return part;
  });
}

/** Clock cycles on the processor core, the longer of taken and not taken. */
function cyclesOnCore(code: readonly number[]): number {
  const run = (f: number): number => {
    const memory = new Uint8Array(0x10000);
    memory.set(code, 0x4000);
    const read = (address: number): number => memory[address] ?? 0;
    const cpu = new CpuZ80({ fetch: read, read, write: () => {}, input: () => 0, output: () => {} });
    cpu.setRegisters({ pc: 0x4000, f, bc: 0x0202 });
    cpu.step();
    expect(cpu.stopped).toBeUndefined();
    return cpu.tStates;
  };
  return Math.max(run(0), run(0xd7));
}

describe("Z80 instructions", () => {
  it("have the bytes that an independent assembler gives them", () => {
    expect(Object.keys(instructions).length).toBeGreaterThan(150);
    for (const [source, digits] of Object.entries(instructions)) {
      const bytes = bytesOf(source).map((byte) => byte.toString(16).toUpperCase().padStart(2, "0"));
      expect(bytes.join(""), source).toBe(digits);
    }
  });

  it("take as long as on the processor core", () => {
    for (const source of Object.keys(instructions))
      expect(encodeZ80(source).cycles, source).toBe(cyclesOnCore(bytesOf(source)));
    expect(encodeZ80("jr nz,loop").cycles).toBe(cyclesOnCore([0x20, 0x00]));
    expect(encodeZ80("djnz loop").cycles).toBe(cyclesOnCore([0x10, 0x00]));
  });

  it("name labels, with what is added to them", () => {
    expect(encodeZ80("jp nz,loop+2").encoded).toEqual([0xc2, { kind: "word", label: "loop", plus: 2 }]);
    expect(encodeZ80("jr c,loop").encoded).toEqual([0x38, { kind: "offset", label: "loop" }]);
  });

  it("are refused when no self-test uses them, and those that need a stack", () => {
    for (const source of ["call 1234h", "push hl", "ret", "pop bc", "halt", "ld (hl),(hl)", "ld a,(1234h),b"])
      expect(() => encodeZ80(source), source).toThrow(RangeError);
    for (const source of [
      "ld a,300",
      "ld q,1",
      "bit 8,a",
      "add hl,ix",
      "jr po,loop",
      "inc (hl)",
      "add ix,hl",
      "",
    ])
      expect(() => encodeZ80(source), source).toThrow(RangeError);
  });

  it("print numbers with a digit first", () => {
    expect([hexZ80(0xe0, 2), hexZ80(0x0e, 2), hexZ80(0x1000, 4)]).toEqual(["0E0h", "0Eh", "1000h"]);
  });
});
