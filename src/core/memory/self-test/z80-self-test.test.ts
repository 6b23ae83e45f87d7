import { describe, expect, it } from "vitest";
import { loadBoard } from "../../../app/load-board.js";
import { openStore } from "../../../store/store.js";
import { CpuZ80 } from "../../cpu/cpu-z80.js";
import { burstsOf, readMessages, signalsOf, type Verdict } from "./beacon.js";
import type { SelfTestImage } from "./image.js";
import { type PlanOptions, planSelfTest, type SelfTestPlan } from "./plan.js";
import { generateZ80 } from "./z80-self-test.js";
import { pairStarts } from "./z80-tables.js";

const { value: merrow } = loadBoard(openStore(), "merrow");

function planOf(options: PlanOptions): SelfTestPlan {
  const plan = merrow === undefined ? undefined : planSelfTest(merrow.board, merrow.types, options).value;
  if (plan === undefined) throw new Error("there is no plan");
  return plan;
}

const main = { from: 0x2000, to: 0x21ff };
const quick = { unitSeconds: 0.001, retentionSeconds: 0.01 };
const plan = planOf({ ...quick, ranges: [main] });
const image = generateZ80(plan);
const bothPlan = planOf({ ...quick, ranges: [main, { from: 0x1000, to: 0x13ff }] });

/** Dynamic memory: a row keeps its charge for so many cycles. Rows are picked by the low address lines. */
interface Charge {
  readonly rows: 128 | 256;
  readonly cycles: number;
}

/** A fault: what comes back from an address, given what the cell holds; and where a word is stored. */
interface Fault {
  readonly read?: (address: number, value: number) => number;
  readonly place?: (address: number) => number | undefined;
  readonly charge?: Charge;
}

interface Run {
  readonly verdicts: readonly Verdict[];
  readonly cycles: number;
  /** What stands in the first line of the screen. */
  readonly words: string;
}

/** Runs an image with its memory until so many messages are complete. */
function run(own: SelfTestImage, ownPlan: SelfTestPlan, fault: Fault, messages: number): Run {
  const memory = new Uint8Array(0x10000).fill(0xa5);
  memory.set(own.bytes);
  const moments: number[] = [];
  const unit = ownPlan.unitSeconds * ownPlan.clockHertz;
  const place = (address: number): number | undefined => {
    if (address < 0x1000) return address;
    const folded = address < 0x2000 ? 0x1000 | (address & 0x3ff) : address;
    return fault.place === undefined ? folded : fault.place(folded);
  };
  const read = (address: number): number => {
    const at = place(address);
    const value = at === undefined ? 0xff : (memory[at] ?? 0xff);
    return fault.read === undefined || address < 0x1000 ? value : fault.read(address, value);
  };
  const lastTouched = new Float64Array(256);
  const touch = (address: number): void => {
    if (fault.charge === undefined) return;
    const row = address % fault.charge.rows;
    if (cpu.tStates - (lastTouched[row] ?? 0) > fault.charge.cycles)
      for (let at = main.from + row; at <= main.to; at += fault.charge.rows) memory[at] = 0;
    lastTouched[row] = cpu.tStates;
  };
  const access = (address: number): number => {
    if (address >= main.from) touch(address);
    return read(address);
  };
  const cpu: CpuZ80 = new CpuZ80({
    fetch: (address, refreshAddress) => {
      touch(refreshAddress);
      return access(address);
    },
    read: access,
    write: (address, value) => {
      if (address >= main.from) touch(address);
      const at = place(address);
      if (at !== undefined && at >= 0x1000) memory[at] = value;
    },
    input: (port) => {
      if ((port & 0xe0) === 0xe0) moments.push(cpu.tStates);
      return 0xff;
    },
    output: () => {},
  });
  cpu.reset();
  for (let count = 0; ; count += 1) {
    if (cpu.stopped !== undefined) throw new Error(cpu.stopped.reason);
    cpu.step();
    if (count % 20_000 !== 0) continue;
    const heard = readMessages(burstsOf(moments, unit), unit, { isRunning: true });
    if (heard.length >= messages) {
      const verdicts = heard.slice(0, messages).map(({ verdict }) => verdict);
      return {
        verdicts,
        cycles: cpu.tStates,
        words: String.fromCharCode(...memory.slice(0x1000, 0x1020)).trim(),
      };
    }
    if (cpu.tStates > 60e6) throw new Error(`only ${heard.length} messages in ${cpu.tStates} cycles`);
  }
}

function verdicts(fault: Fault, messages = 1): readonly Verdict[] {
  return run(image, plan, fault, messages).verdicts;
}

const chip = (bit: number, bank = 0): Verdict => ({ kind: "chip", bank, bit });

describe("the self-test ROM of a Z80 board", () => {
  it("needs less than two kilobytes of code, and no instruction that uses a stack", () => {
    expect(generateZ80(planOf({})).codeBytes).toBeLessThan(2048);
    expect(image.bytes).toHaveLength(0x1000);
    const stack = /^(call|push|pop|ret|rst|ex \(sp\)|ldir|halt)/;
    expect(image.rows.filter(({ source }) => stack.test(source))).toEqual([]);
  });

  it("says good when all is good, and says it on the screen too", () => {
    const alone = run(image, plan, {}, 2);
    expect(alone.verdicts).toEqual([{ kind: "good" }, { kind: "good" }]);
    expect(alone.words).toBe("ALL GOOD");
    const both = run(generateZ80(bothPlan), bothPlan, {}, 3);
    expect(both.verdicts).toEqual([{ kind: "main-good" }, { kind: "good" }, { kind: "main-good" }]);
  });

  it("names the chip of a bad cell", () => {
    for (const [address, bit] of [
      [main.from, 0],
      [0x2155, 3],
      [main.to, 7],
    ] as const) {
      expect(verdicts({ read: (at, value) => (at === address ? value & ~(1 << bit) : value) })).toEqual([
        chip(bit),
      ]);
      expect(verdicts({ read: (at, value) => (at === address ? value | (1 << bit) : value) })).toEqual([
        chip(bit),
      ]);
    }
  });

  it("names two chips one after the other, again and again", () => {
    const read = (at: number, value: number): number => (at === 0x2100 ? value & 0xdb : value);
    expect(verdicts({ read }, 4)).toEqual([chip(2), chip(5), chip(2), chip(5)]);
  });

  it("names a data line that is wrong everywhere, and still a chip beside it", () => {
    const read = (at: number, value: number): number => (at === 0x2100 ? value & 0xfd : value) | 0x40;
    expect(verdicts({ read }, 2)).toEqual([{ kind: "data-line", bit: 6 }, chip(1)]);
  });

  it("names two data lines that are bridged", () => {
    const read = (_: number, value: number): number => ((value & 0x18) === 0x18 ? value : value & ~0x18);
    expect(verdicts({ read }, 2)).toEqual([
      { kind: "data-line", bit: 3 },
      { kind: "data-line", bit: 4 },
    ]);
  });

  it("names every address line that is low, high, or bridged to another", () => {
    for (const line of [0, 3, 8]) {
      const bit = 1 << line;
      expect(verdicts({ place: (at) => at & ~bit })).toEqual([{ kind: "address-line", bank: 0, line }]);
      expect(verdicts({ place: (at) => at | bit })).toEqual([{ kind: "address-line", bank: 0, line }]);
    }
    const lines = [2, 5].map((line): Verdict => ({ kind: "address-line", bank: 0, line }));
    const both = 0x24;
    expect(verdicts({ place: (at) => ((at & both) === both ? at : at & ~both) }, 2)).toEqual(lines);
    expect(verdicts({ place: (at) => ((at & both) === 0 ? at : at | both) }, 2)).toEqual(lines);
  });

  it("names the chip when only its own address line is dead", () => {
    const store = new Map<number, number>();
    const read = (at: number, value: number): number => {
      store.set(at, value);
      return (value & ~0x10) | ((store.get(at & ~8) ?? value) & 0x10);
    };
    expect(verdicts({ read }).map(({ kind }) => kind)).toEqual(["chip"]);
  });

  it("speaks with no memory at all", () => {
    expect(verdicts({ place: () => undefined, read: () => 0xff })).toEqual([{ kind: "no-answer", bank: 0 }]);
  });

  it("says that its ROM is bad for any one wrong bit behind the check", () => {
    const from = image.symbols.get("range") ?? 0;
    for (const at of [from, from + 333, 0x0800, 0x0ffe, 0x0fff]) {
      const bytes = image.bytes.slice();
      bytes[at] = (bytes[at] ?? 0) ^ 0x10;
      // The sender itself must be right, or nothing is said.
      if (at >= (image.symbols.get("send") ?? 0) && at < (image.symbols.get("ranges") ?? 0)) continue;
      expect(run({ ...image, bytes }, plan, {}, 1).verdicts, at.toString(16)).toEqual([{ kind: "rom" }]);
    }
  });

  it("goes to other memory only when the main memory is good, and stays with what is bad", () => {
    const own = generateZ80(bothPlan);
    const screen = (at: number, value: number): number => (at === 0x13ff ? value & 0xbf : value);
    expect(run(own, bothPlan, { read: screen }, 3).verdicts).toEqual([
      { kind: "main-good" },
      chip(6, 1),
      chip(6, 1),
    ]);
    const line = (at: number): number => (at < 0x2000 ? at & ~0x200 : at);
    expect(run(own, bothPlan, { place: line }, 2).verdicts[1]).toEqual({
      kind: "address-line",
      bank: 1,
      line: 9,
    });
    const dead = (at: number, value: number): number => (at < 0x2000 ? 0xff : value);
    expect(run(own, bothPlan, { read: dead }, 2).verdicts[1]).toEqual({ kind: "no-answer", bank: 1 });
  });

  it("keeps what failed once", () => {
    let isBad = true;
    const read = (at: number, value: number): number => {
      if (at !== 0x2080 || !isBad || (value & 0x80) === 0) return value;
      isBad = false;
      return value & 0x7f;
    };
    expect(verdicts({ read }, 3)).toEqual([chip(7), chip(7), chip(7)]);
  });

  it("keeps dynamic memory alive, and says so when its rows are not reached", () => {
    const withRows = (rows: 128 | 256): readonly [SelfTestImage, SelfTestPlan] => {
      const own = planOf({ ...quick, retentionSeconds: 0.03, ranges: [main], refreshRows: rows });
      return [generateZ80(own), own];
    };
    const few = { charge: { rows: 128, cycles: 8000 } } as const;
    const many = { charge: { rows: 256, cycles: 16000 } } as const;
    expect(run(...withRows(128), few, 1).verdicts).toEqual([{ kind: "good" }]);
    expect(run(...withRows(256), many, 1).verdicts).toEqual([{ kind: "good" }]);
    expect(run(...withRows(128), many, 1).verdicts).toEqual([{ kind: "refresh" }]);
    const leaking = { charge: { rows: 128, cycles: 5000 } } as const;
    expect(run(...withRows(128), leaking, 1).verdicts).toEqual([{ kind: "refresh" }]);
  });

  it("sends units of the length that was asked for", () => {
    const { cycles } = run(image, plan, { read: () => 0 }, 1);
    const units = 10 + 6 + 3 * (signalsOf({ kind: "no-answer", bank: 0 }).length * 3 + 4 + 2);
    expect(cycles).toBeGreaterThan(units * 4000 * 0.8);
  });

  it("refuses a plan for another processor", () => {
    const other = { ...plan, processor: { part: "U1", instructionSet: "6502" as const } };
    expect(() => generateZ80(other)).toThrow(RangeError);
    expect(() => generateZ80({ ...plan, rom: { ...plan.rom, bytes: 0x400 } })).toThrow(RangeError);
  });
});

describe("one pass of March C-", () => {
  /** Clock cycles of the pass over so many pages, from the second page on if there are fewer than 256. */
  function cyclesOf(pages: number): number {
    const memory = new Uint8Array(0x10000);
    memory.set(image.bytes);
    const row = image.symbols.get("ranges") ?? 0;
    memory[row] = pages === 256 ? 0 : 0x20;
    memory[row + 1] = pages & 0xff;
    memory[row + 23] = pages === 256 ? 0 : 0x20 + pages;
    const read = (address: number): number => memory[address] ?? 0;
    const write = (address: number, value: number): void => {
      if (address >= 0x1000) memory[address] = value;
    };
    const cpu = new CpuZ80({ fetch: read, read, write, input: () => 0, output: () => {} });
    const next = image.rows.find(({ source }) => source === "jp classify" && true);
    const pass = image.symbols.get("background") ?? 0;
    const end =
      image.rows.filter(({ source, address }) => source === "jp classify" && address > pass)[0] ?? next;
    cpu.setRegisters({ pc: pass, ix: row, iy: 0 });
    while (cpu.registers.pc !== end?.address) cpu.step();
    return cpu.tStates;
  }

  it("over 64K takes under 6 seconds of a 4 MHz machine", () => {
    const cycles = cyclesOf(256);
    expect(cycles).toBeLessThan(6 * 4e6);
    // Ten accesses of at least 7 cycles for each of the 65,536 words.
    expect(cycles / (7 * 10 * 65536)).toBeLessThan(2.5);
    expect(cycles).toBeGreaterThan(7 * 10 * 65536);
  });

  it("takes the same for every page", () => {
    expect(cyclesOf(12) - cyclesOf(8)).toBe(4 * (cyclesOf(5) - cyclesOf(4)));
  });
});

describe("pairs of addresses that differ in one line", () => {
  it("are the lowest and the highest that lie in the range", () => {
    expect(pairStarts({ from: 0x2000, to: 0xffff }, 0)).toEqual([0x2000, 0xfffe]);
    expect(pairStarts({ from: 0x2000, to: 0xffff }, 13)).toEqual([0x4000, 0xdfff]);
    expect(pairStarts({ from: 0x2000, to: 0xffff }, 15)).toEqual([0x2000, 0x7fff]);
    expect(pairStarts({ from: 0x2000, to: 0x20ff }, 8)).toEqual([]);
    expect(pairStarts({ from: 0x2000, to: 0x20ff }, 7)).toEqual([0x2000, 0x207f]);
  });
});
