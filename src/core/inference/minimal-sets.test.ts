import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { minimalHittingSets } from "./minimal-sets.js";

const elements = 7;

/** All subsets that hit every conflict and of which no subset with one element less does. */
function hittingSetsNaively(conflicts: readonly (readonly number[])[]): number[][] {
  const hits = (set: readonly number[]): boolean =>
    conflicts.every((conflict) => conflict.some((element) => set.includes(element)));
  return Array.from({ length: 2 ** elements }, (_, bits) =>
    Array.from({ length: elements }, (_, k) => k).filter((k) => (bits >> k) & 1),
  )
    .filter((set) => hits(set) && !set.some((element) => hits(set.filter((other) => other !== element))))
    .sort((a, b) => a.length - b.length || (a.join() < b.join() ? -1 : 1));
}

const collections = fc.array(fc.array(fc.nat(elements - 1), { minLength: 1, maxLength: 5 }), {
  maxLength: 7,
});

describe("minimalHittingSets", () => {
  it("agrees with trying every subset, repeated elements and conflicts included", () => {
    fc.assert(
      fc.property(collections, (conflicts) => {
        expect(minimalHittingSets(conflicts)).toEqual({
          sets: hittingSetsNaively(conflicts),
          complete: true,
        });
      }),
      { seed: 9, numRuns: 500 },
    );
  });

  it("with a size limit gives exactly the small ones", () => {
    fc.assert(
      fc.property(collections, fc.integer({ min: 0, max: 4 }), (conflicts, maximumSize) => {
        const small = hittingSetsNaively(conflicts).filter((set) => set.length <= maximumSize);
        expect(minimalHittingSets(conflicts, { maximumSize })).toEqual({ sets: small, complete: true });
      }),
      { seed: 10, numRuns: 300 },
    );
  });

  it("twice gives the minimal conflicts back", () => {
    fc.assert(
      fc.property(collections, (conflicts) => {
        const once = minimalHittingSets(conflicts).sets;
        const twice = minimalHittingSets(once).sets;
        const distinct = conflicts.map((conflict) => [...new Set(conflict)].sort((a, b) => a - b));
        const minimal = distinct.filter(
          (conflict) =>
            !distinct.some(
              (other) => other.length < conflict.length && other.every((e) => conflict.includes(e)),
            ),
        );
        expect(new Set(twice.map(String))).toEqual(new Set(minimal.map(String)));
      }),
      { seed: 11, numRuns: 300 },
    );
  });

  it("out of room says so, and lists only sets that are minimal", () => {
    let cutShort = 0;
    fc.assert(
      fc.property(collections, fc.integer({ min: 1, max: 3 }), (conflicts, maximumPartialSets) => {
        const all = hittingSetsNaively(conflicts);
        const { sets, complete } = minimalHittingSets(conflicts, { maximumPartialSets });
        if (complete) expect(sets).toEqual(all);
        else cutShort += 1;
        expect(all).toEqual(expect.arrayContaining([...sets]));
        expect(new Set(sets.map(String)).size).toBe(sets.length);
      }),
      { seed: 12, numRuns: 500 },
    );
    expect(cutShort).toBeGreaterThan(50);
  });

  it("of no conflict is the empty set; an empty conflict cannot be hit", () => {
    expect(minimalHittingSets([])).toEqual({ sets: [[]], complete: true });
    expect(minimalHittingSets([[1, 2], []])).toEqual({ sets: [], complete: true });
  });

  it("orders by size, then by elements as numbers", () => {
    expect(
      minimalHittingSets([
        [10, 9, 2],
        [10, 2, 3],
        [10, 9],
      ]).sets,
    ).toEqual([[10], [2, 9], [3, 9]]);
  });

  it("leaves the caller's conflicts as they are", () => {
    const conflicts = [[3, 1, 3], [2]];
    minimalHittingSets(conflicts);
    expect(conflicts).toEqual([[3, 1, 3], [2]]);
  });
});
