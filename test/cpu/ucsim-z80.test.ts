import { describe, expect, it } from "vitest";
import { createRandom, type Random } from "../../src/core/base/random.js";
import { CpuZ80, type RegistersZ80 } from "../../src/core/cpu/cpu-z80.js";
import { simulatorAbsent, simulatorSteps } from "./ucsim-z80.js";

/*
 * Second opinion: sz80 of uCsim (Debian package sdcc-ucsim, GPL; run, not copied). Program counter, registers and clock
 * cycles are compared after every instruction of random programs, and the flags S, Z and C.
 *
 * Where version 0.6.4 differs from the maker's manual it is not followed: H, P/V and N, which are checked in
 * flags-z80.test.ts; the instructions of `otherFlags` and `otherCycles`; CPD, PUSH AF, EX AF and the repeated
 * instructions are left out, and so is an address that wraps around. Its cycles are checked apart, against the
 * manual, in test/reference/zilog-1977-z80-timing.
 */
const otherFlags = new Set([
  "17",
  "1f",
  "ed40",
  "ed48",
  "ed50",
  "ed58",
  "ed60",
  "ed68",
  "ed78",
  "ed67",
  "ed6f",
  "eda1",
]);
const otherCycles = new Set(["0b", "1b", "2b", "34", "35", "ed4b"]);

const afterEd = [
  ...[0x40, 0x48, 0x50, 0x58, 0x60, 0x68, 0x78, 0x41, 0x49, 0x42, 0x4a, 0x52, 0x5a, 0x62, 0x6a, 0x72, 0x7a],
  ...[0x43, 0x4b, 0x53, 0x5b, 0x73, 0x63, 0x6b, 0x44, 0x46, 0x56, 0x5e, 0x67, 0x6f, 0xa0, 0xa1, 0xa8],
];
const afterIndex = [
  ...[0x09, 0x19, 0x29, 0x39, 0x21, 0x22, 0x23, 0x2a, 0x2b, 0x34, 0x35, 0x36, 0xe1, 0xe5, 0xe3],
  ...[0x46, 0x4e, 0x56, 0x5e, 0x66, 0x6e, 0x7e, 0x70, 0x71, 0x72, 0x73, 0x74, 0x75, 0x77],
  ...[0x86, 0x8e, 0x96, 0x9e, 0xa6, 0xae, 0xb6, 0xbe, 0xcb],
];
const leftOut = new Set([0xcb, 0xdd, 0xed, 0xfd, 0x76, 0xf5, 0x08, 0x31, 0xf9]);
const start = 0x8000;
const stack = 0xf800;

function pick(list: readonly number[], random: Random): number {
  return list[random.below(list.length)] ?? 0;
}

function randomInstruction(random: Random): number[] {
  const byte = (): number => random.below(256);
  const kind = random.below(10);
  if (kind < 5) {
    let opcode = byte();
    while (leftOut.has(opcode)) opcode = byte();
    return [opcode];
  }
  if (kind < 6) {
    const opcode = byte();
    return [0xcb, opcode >= 0x30 && opcode < 0x38 ? opcode + 8 : opcode];
  }
  if (kind < 8) return [0xed, pick(afterEd, random)];
  const prefix = random.below(2) === 0 ? 0xdd : 0xfd;
  const opcode = pick(afterIndex, random);
  if (opcode !== 0xcb) return [prefix, opcode];
  const bits = (byte() & 0xf8) | 6;
  return [prefix, opcode, byte(), bits === 0x36 ? 0x3e : bits];
}

function randomMemory(seed: number): Uint8Array {
  const random = createRandom(seed);
  const memory = Uint8Array.from({ length: 0x10000 }, () => random.below(256));
  for (let at = 0; at < 0xf000; ) {
    const bytes = randomInstruction(random);
    memory.set(bytes, at);
    at += bytes.length;
  }
  memory.set([...setUp, 0xc3, start & 0xff, start >> 8], 0);
  return memory;
}

function opcodeName(memory: Uint8Array, pc: number): string {
  const [first = 0, second = 0] = memory.subarray(pc, pc + 2);
  const hex = (value: number): string => value.toString(16).padStart(2, "0");
  return [0xcb, 0xdd, 0xed, 0xfd].includes(first) ? hex(first) + hex(second) : hex(first);
}

/** True where the simulator does not follow an address around the end of memory, or would stop for its stack. */
function isAtTheEdge(name: string, { pc, sp, ix, iy }: RegistersZ80): boolean {
  const isFar = (address: number): boolean => address < 0x100 || address > 0xfe00;
  const isIndexFar = (name.startsWith("dd") && isFar(ix)) || (name.startsWith("fd") && isFar(iy));
  return isFar(pc) || isIndexFar || sp < stack - 0x200 || sp > 0xff00;
}

/** LD SP, BC, DE, HL, IX and IY, to places in the middle of memory. */
const setUp = [
  ...[0x31, stack & 0xff, stack >> 8, 0x01, 0x40, 0x60, 0x11, 0x00, 0x20, 0x21, 0x34, 0x12],
  ...[0xdd, 0x21, 0x00, 0x30, 0xfd, 0x21, 0x00, 0x40],
];
const setUpSteps = 7;

const smallest = { steps: 3000, instructions: 400 };

describe("the Z80", () => {
  it("agrees with an independent simulator over random programs", () => {
    const absent = simulatorAbsent();
    if (absent !== undefined) {
      console.warn(`skipped: ${absent}`);
      return;
    }
    let steps = 0;
    const seen = new Set<string>();
    const wrong: string[] = [];
    for (let seed = 1; seed <= 24; seed += 1) {
      const memory = randomMemory(seed);
      const said = simulatorSteps(memory, 500);
      const cpu = new CpuZ80({
        fetch: (address) => memory[address] ?? 0,
        read: (address) => memory[address] ?? 0,
        write: (address, value) => {
          memory[address] = value;
        },
        input: () => 0,
        output: () => {},
      });
      for (const [k, theirs] of said.entries()) {
        const before = cpu.registers;
        const name = opcodeName(memory, before.pc);
        if (k >= setUpSteps && isAtTheEdge(name, before)) break;
        const clock = cpu.tStates;
        cpu.step();
        if (cpu.stopped !== undefined) break;
        const ours = cpu.registers;
        const cycles = cpu.tStates - clock;
        const bits = name.startsWith("cb");
        const flags = otherFlags.has(name) || bits ? 0x01 : 0xc1;
        const flagMask = name === "eda1" ? 0 : flags;
        const hasSameCycles = cycles === theirs.ticks || otherCycles.has(name) || bits;
        const registers = ["pc", "sp", "a", "bc", "de", "hl", "ix", "iy"] as const;
        const differing = registers.filter((register) => ours[register] !== theirs[register]);
        if (differing.length > 0 || ((ours.f ^ theirs.f) & flagMask) !== 0 || !hasSameCycles) {
          wrong.push(`seed ${seed}, ${name}: ${JSON.stringify({ before, ours, cycles, theirs, differing })}`);
          break;
        }
        steps += 1;
        seen.add(name);
        // Its H, P/V and N go on into DAA and conditions: go on from where it stands.
        cpu.setRegisters({ f: theirs.f });
      }
    }
    expect(wrong.slice(0, 5)).toEqual([]);
    expect(steps).toBeGreaterThan(smallest.steps);
    expect(seen.size).toBeGreaterThan(smallest.instructions);
  });
});
