import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { distinctSplits, packProbes, probeOutcome } from "./probe-table.js";

describe("packProbes", () => {
  it("keeps every outcome of more than one word of suspects", () => {
    const random = createRandom(3);
    const rows = Array.from({ length: 3 }, () => Array.from({ length: 70 }, () => random.below(2)));
    const table = packProbes(rows, 70);
    expect(table).toMatchObject({ suspectCount: 70, probeCount: 3, words: 3 });
    rows.forEach((row, probe) => {
      expect(row.map((_, suspect) => probeOutcome(table, probe, suspect))).toEqual(row);
    });
  });

  it("rejects short lists and outcomes other than 0 and 1", () => {
    expect(() => packProbes([[0, 1]], 3)).toThrow(RangeError);
    expect(() => packProbes([[0, 2, 1]], 3)).toThrow(RangeError);
  });
});

describe("distinctSplits", () => {
  it("keeps one of equal and of complementary columns, and none that does not split", () => {
    const { outcomes, words } = packProbes(
      [
        [0, 0, 1, 1],
        [1, 1, 0, 0],
        [0, 1, 0, 1],
        [1, 1, 1, 1],
        [0, 0, 1, 0],
      ],
      4,
    );
    const all = distinctSplits(outcomes, words, [0, 1, 2, 3, 4], Int32Array.of(0b1111));
    expect([...all.column]).toEqual([0, 2, 4]);
    expect([...all.side]).toEqual([0b1100, 0b1010, 0b0100]);
    // Among the first three suspects the last column cuts as the first does.
    expect([...distinctSplits(outcomes, words, [0, 1, 2, 3, 4], Int32Array.of(0b0111)).column]).toEqual([
      0, 2,
    ]);
  });

  it("agrees with comparing text, on suspects that begin beyond the first word", () => {
    const random = createRandom(5);
    const rows = Array.from({ length: 40 }, () =>
      Array.from({ length: 50 }, () => (random.below(8) === 0 ? 1 : 0)),
    );
    const { outcomes, words } = packProbes(rows, 50);
    const members = [33, 36, 40, 45, 49];
    const mask = new Int32Array(words);
    for (const s of members) mask[s >>> 5] = (mask[s >>> 5] ?? 0) | (1 << (s & 31));
    const texts = rows.map((row) => members.map((s) => (row[s] ?? 0) ^ (row[33] ?? 0)).join(""));
    const expected = texts.flatMap((text, k) => (text.includes("1") && texts.indexOf(text) === k ? [k] : []));
    const columns = rows.map((_, k) => k);
    expect([...distinctSplits(outcomes, words, columns, mask).column]).toEqual(expected);
    expect(expected.length).toBeGreaterThan(2);
  });
});
