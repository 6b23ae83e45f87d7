import { describe, expect, it } from "vitest";
import { loadBoard } from "../../../app/load-board.js";
import { openStore } from "../../../store/store.js";
import { Cpu6502 } from "../../cpu/cpu-6502.js";
import { CpuZ80 } from "../../cpu/cpu-z80.js";
import { compareFreeRun, parseFreeRunReadings } from "./compare.js";
import { type FreeRun, freeRunOf } from "./free-run.js";

const store = openStore();

function runOf(name: string): FreeRun {
  const { value } = loadBoard(store, name);
  const run = value === undefined ? undefined : freeRunOf(value.board, value.types).value;
  if (run === undefined) throw new Error(`${name} does not run free`);
  return run;
}

const merrow = runOf("merrow");
const pellow = runOf("pellow-16");

function lineOf({ lines }: FreeRun, net: string) {
  return lines.find((line) => line.net === net);
}

/** Rising edges of a bit in a list of addresses that repeats. */
function edges(seen: readonly number[], bit: number): number {
  return seen.filter(
    (address, k) => ((address >> bit) & 1) === 1 && (((seen.at(k - 1) ?? 0) >> bit) & 1) === 0,
  ).length;
}

describe("a free run", () => {
  it("ties the data pins to no operation and leaves all others through", () => {
    expect(
      merrow.plug
        .filter(({ wired }) => wired === "low")
        .map(({ name }) => name)
        .sort(),
    ).toEqual([0, 1, 2, 3, 4, 5, 6, 7].map((bit) => `D${bit}`));
    const high = pellow.plug.filter(({ wired }) => wired === "high").map(({ name }) => name);
    expect(high.sort()).toEqual(["D1", "D3", "D5", "D6", "D7"]);
    expect(pellow.plug).toHaveLength(40);
    expect(pellow.plug.find(({ name }) => name === "A0")?.wired).toBe("through");
  });

  it("has the rates that the processor cores show on their address lines", () => {
    const z80: number[] = [];
    const cpu = new CpuZ80({
      fetch: (address, refresh) => {
        z80.push(address, refresh);
        return merrow.instruction;
      },
      read: () => 0,
      write: () => {},
      input: () => 0,
      output: () => {},
    });
    for (let k = 0; k < 65536; k += 1) cpu.step();
    const seconds = cpu.tStates / merrow.clockHertz;
    for (let bit = 0; bit < 7; bit += 1) {
      const line = merrow.lines[bit];
      expect([line?.isSquare, line?.hertz]).toEqual([true, edges(z80, bit) / seconds]);
    }
    const bursts = z80.filter((_, k) => k % 2 === 0);
    for (let bit = 7; bit < 16; bit += 1) {
      const line = merrow.lines[bit];
      expect([line?.isSquare, line?.hertz]).toEqual([false, edges(bursts, bit) / seconds]);
      expect(edges(z80, bit)).toBe(32768);
    }
    const mos: number[] = [];
    const other = new Cpu6502({
      read: (address) => {
        mos.push(address);
        return pellow.instruction;
      },
      write: () => {},
    });
    other.setRegisters({ pc: 0 });
    while (mos.length < 2 * 65536) other.step();
    const time = mos.length / pellow.clockHertz;
    for (let bit = 0; bit < 16; bit += 1) expect(pellow.lines[bit]?.hertz).toBe(edges(mos, bit) / time);
  });

  it("says how often each decoder output is low", () => {
    expect(lineOf(merrow, "/SCREEN SEL")).toMatchObject({
      part: "U14",
      look: "pulsing",
      hertz: 1e6 / 65536,
      note: "Low in 4096 of 65,536 fetches, in one run.",
    });
    expect(lineOf(merrow, "/PIO SEL")).toMatchObject({ look: "high", hertz: 0 });
    expect(lineOf(pellow, "/EXP4")?.note).toBe("Low in 16384 of 65,536 fetches, in one run.");
    expect(lineOf(pellow, "/IOSEL")?.note).toBe("Low in 4096 of 65,536 fetches, in one run.");
    expect(merrow.notes).toHaveLength(1);
    expect(pellow.notes).toEqual([]);
  });

  it("needs a processor and a clock", () => {
    const { value } = loadBoard(store, "merrow");
    if (value === undefined) throw new Error("merrow is not sound");
    const { selfTest: _, ...board } = value.board;
    const codes = (part: string | undefined): string[] =>
      freeRunOf(part === undefined ? board : { ...board, processor: part }, value.types).problems.map(
        ({ code }) => code,
      );
    expect(codes("U2")).toEqual(["self-test-processor"]);
    expect(codes(undefined)).toEqual(["self-test-means"]);
  });
});

describe("readings in a free run", () => {
  it("are read as rates and as what a probe shows", () => {
    const text = "# first bench\nA0 500k\nA1, 250 kHz\nU14.5 pulsing\n/PIO SEL high\nA2 0.125MHz\n";
    expect(parseFreeRunReadings(text)).toEqual({
      value: [
        { place: "A0", seen: 500e3 },
        { place: "A1", seen: 250e3 },
        { place: "U14.5", seen: "pulsing" },
        { place: "/PIO SEL", seen: "high" },
        { place: "A2", seen: 125e3 },
      ],
      problems: [],
    });
    expect(parseFreeRunReadings("A0\nA1 fast").problems.map(({ where }) => where.line)).toEqual([1, 2]);
  });

  it("fit, or are told what should be there and whose rate it is", () => {
    const { value, problems } = compareFreeRun(merrow, [
      { place: "A0", seen: 125.5e3 },
      { place: "A1", seen: 250e3 },
      { place: "A2", seen: 250e3 },
      { place: "A9", seen: 500e3 },
      { place: "/PIO SEL", seen: "pulsing" },
      { place: "A77", seen: "high" },
    ]);
    expect(value?.map(({ fits }) => fits)).toEqual([false, true, false, true, false]);
    expect(value?.[0]?.say).toContain("rate of A2");
    expect(value?.[2]?.say).toContain(
      "It should be 125000 Hz. That is the rate of A1: the two may be bridged.",
    );
    expect(problems.map(({ code }) => code)).toEqual(["reading-place"]);
  });
});
