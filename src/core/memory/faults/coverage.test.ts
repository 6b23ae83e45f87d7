import { describe, expect, it } from "vitest";
import { scalarCatches } from "../../../../test/naive/scalar-memory.js";
import { createRandom } from "../../base/random.js";
import type { MarchElement, MarchTest } from "../march/march.js";
import { parseMarch, printMarch } from "../march/notation.js";
import { simulateCoverage } from "./coverage.js";
import { faultsOfClass } from "./enumerate.js";
import { type FaultClass, faultClasses } from "./fault.js";
import { FaultyMemory } from "./faulty-memory.js";

function march(notation: string): MarchTest {
  const { value } = parseMarch(notation);
  if (value === undefined) throw new Error(`cannot read ${notation}`);
  return value;
}

function caught(notation: string, faultClass: FaultClass, addresses: number, wordBits: number): number {
  const coverage = simulateCoverage(march(notation), { addresses, wordBits, classes: [faultClass] });
  return coverage.classes[0]?.detected ?? -1;
}

const cMinus = "{⇕(w0);⇑(r0,w1);⇑(r1,w0);⇓(r0,w1);⇓(r1,w0);⇕(r0)}";

describe("the fault simulator", () => {
  it("agrees with a slow simulation of single bits on random tests", () => {
    for (let seed = 1; seed <= 12; seed += 1) {
      const random = createRandom(seed);
      const test = randomMarch(random.below);
      const size = { addresses: 3, wordBits: 1 };
      for (const faultClass of faultClasses) {
        if (faultClass === "AFand" || faultClass === "AFor") continue;
        const faults = faultsOfClass(faultClass, size);
        const ours = simulateCoverage(test, { ...size, classes: [faultClass] }).classes[0]?.detected;
        const naive = faults.filter(
          (fault) =>
            fault.kind !== "AF" &&
            contents(3).every((initial) => [0, 1].every((line) => scalarCatches(test, fault, initial, line))),
        ).length;
        expect(ours, `seed ${seed}, ${faultClass}, ${printMarch(test)}`).toBe(naive);
      }
    }
  });

  it("needs both pauses to see both ways of losing a value", () => {
    const withPauses = (first: string, second: string): string =>
      `{⇕(w0);${first}⇑(r0,w1);${second}⇑(r1,w0);⇓(r0,w1);⇓(r1,w0);⇕(r0)}`;
    expect(caught(withPauses("", ""), "DRF", 4, 1)).toBe(0);
    expect(caught(withPauses("Del;", ""), "DRF", 4, 1)).toBe(4);
    expect(caught(withPauses("", "Del;"), "DRF", 4, 1)).toBe(4);
    expect(caught(withPauses("Del;", "Del;"), "DRF", 4, 1)).toBe(8);
  });

  it("needs the backgrounds to see one bit of a word pull at another", () => {
    const options = { addresses: 2, wordBits: 4, classes: ["CFst"] as const };
    const plain = simulateCoverage(march(cMinus), { ...options, backgrounds: [0] }).classes[0];
    const full = simulateCoverage(march(cMinus), options).classes[0];
    expect(full).toEqual({ faultClass: "CFst", detected: 8 * 7 * 4, total: 8 * 7 * 4 });
    // Within a word all bits are equal: a victim forced to the aggressor's own value never shows, 12 pairs × 2 words × 2.
    expect(plain?.detected).toBe(8 * 7 * 4 - 2 * 12 * 2);
  });

  it("says whether every initial content was tried, and draws the rest from the seed", () => {
    const few = simulateCoverage(march(cMinus), { addresses: 4, wordBits: 2, classes: ["SAF"] });
    expect(few.isExhaustive).toBe(true);
    const many = { addresses: 3, wordBits: 4, classes: ["CFid", "SOF"] as const };
    const drawn = simulateCoverage(march(cMinus), { ...many, seed: 5 });
    expect(drawn.isExhaustive).toBe(false);
    expect(simulateCoverage(march(cMinus), { ...many, seed: 5 })).toEqual(drawn);
  });

  it("refuses what it cannot do", () => {
    const test = march(cMinus);
    expect(() => simulateCoverage(test, { addresses: 1, wordBits: 1 })).toThrow(RangeError);
    expect(() => simulateCoverage(test, { addresses: 9, wordBits: 4 })).toThrow("at most 32 cells");
    expect(() => simulateCoverage(test, { addresses: 2, wordBits: 2, backgrounds: [4] })).toThrow(
      "background 4",
    );
    const many = march(`{${"⇕(w0,r0);".repeat(9)}}`);
    expect(() => simulateCoverage(many, { addresses: 2, wordBits: 1 })).toThrow("at most 8 elements");
  });
});

describe("a faulty memory", () => {
  it("answers at two addresses as its decoder fault says", () => {
    const size = { addresses: 2, wordBits: 3 };
    const fault = { kind: "AF", type: "D", x: 0, y: 1, wiring: "or" } as const;
    const memory = new FaultyMemory(size, fault, new Int32Array(6), 0);
    memory.write(0, 0b001);
    memory.write(1, 0b100);
    memory.read(0);
    expect([...memory.output]).toEqual([-1, 0, -1]);
    memory.read(1);
    expect([...memory.output]).toEqual([0, 0, -1]);
  });
});

function contents(cells: number): number[][] {
  return Array.from({ length: 2 ** cells }, (_, pattern) =>
    Array.from({ length: cells }, (__, cell) => (pattern >> cell) & 1),
  );
}

/** A test whose reads expect what was written last, without ⇕. */
function randomMarch(below: (limit: number) => number): MarchTest {
  let value = 0;
  const elements: MarchElement[] = [
    { kind: "sweep", order: "up", operations: [{ kind: "write", inverted: false }] },
  ];
  for (let i = 0; i < 5; i += 1) {
    if (below(5) === 0) elements.push({ kind: "pause" });
    const operations = Array.from({ length: 1 + below(4) }, () => {
      if (below(2) === 0) return { kind: "read", inverted: value === 1 } as const;
      value = below(2);
      return { kind: "write", inverted: value === 1 } as const;
    });
    elements.push({ kind: "sweep", order: below(2) === 0 ? "up" : "down", operations });
  }
  return { elements };
}
