import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import {
  alwaysActual,
  andPairs,
  canBeWrong,
  canBeWrongIn,
  constantPairs,
  muxPairs,
  notPairs,
  orPairs,
  pairBit,
  pairPlanes,
  unionOfPairs,
  varies,
  variesIn,
  xorPairs,
} from "./pairs.js";

// Pair p of a set: healthy bit p >> 1, actual bit p & 1.
const pairs = [0, 1, 2, 3];
const healthyOf = (pair: number): number => pair >> 1;
const actualOf = (pair: number): number => pair & 1;

/** Sets given as bits 0 to 3 in each phase, with reasons to vary in bits 4 and 5, as planes. */
function planesOf(sets: readonly number[]): number[] {
  return Array.from({ length: pairPlanes }, (_, plane) =>
    sets.reduce((phases, set, phase) => phases | (((set >> plane) & 1) << phase), 0),
  );
}

function setAt(row: Int32Array, at: number, phase: number): number {
  let set = 0;
  for (let plane = 0; plane < pairPlanes; plane += 1) set |= (((row[at + plane] ?? 0) >> phase) & 1) << plane;
  return set;
}

/** Image of the product of sets under a truth function, by looking at every combination. */
function imageOf(truth: (...bits: number[]) => number, ...sets: readonly number[]): number {
  let combinations: number[][] = [[]];
  for (const set of sets) {
    const members = pairs.filter((pair) => (set >> pair) & 1);
    combinations = combinations.flatMap((chosen) => members.map((pair) => [...chosen, pair]));
  }
  let image = 0;
  for (const chosen of combinations) {
    image |= 1 << ((truth(...chosen.map(healthyOf)) << 1) | truth(...chosen.map(actualOf)));
  }
  return image;
}

const actualVaries = (set: number): boolean => (set & 0b0101) !== 0 && (set & 0b1010) !== 0;
const nonEmpty = Array.from({ length: 15 }, (_, i) => i + 1);
const twoInputs = [
  ["and", andPairs, (a: number, b: number) => a & b],
  ["or", orPairs, (a: number, b: number) => a | b],
  ["xor", xorPairs, (a: number, b: number) => a ^ b],
] as const;

describe("pair sets", () => {
  it.each(twoInputs)("have the image under %s that looking at every combination gives", (_, apply, truth) => {
    const combinations = nonEmpty.flatMap((a) => nonEmpty.map((b) => [a, b] as const));
    // Fifteen combinations at a time, one a phase.
    for (let from = 0; from < combinations.length; from += 15) {
      const some = combinations.slice(from, from + 15);
      const row = Int32Array.from([
        ...planesOf(some.map(([a]) => a)),
        ...planesOf(some.map(([, b]) => b)),
        ...planesOf([]),
      ]);
      apply(row, 2 * pairPlanes, 0, pairPlanes);
      for (const [phase, [a, b]] of some.entries()) {
        expect(setAt(row, 2 * pairPlanes, phase), `${a}, ${b}`).toBe(imageOf(truth, a, b));
      }
    }
  });

  it("have the image under a choice that looking at every combination gives", () => {
    const truth = (select = 0, low = 0, high = 0): number => (select === 1 ? high : low);
    for (const select of nonEmpty) {
      for (const low of nonEmpty) {
        const row = Int32Array.from([
          ...planesOf(nonEmpty.map(() => select)),
          ...planesOf(nonEmpty.map(() => low)),
          ...planesOf(nonEmpty),
          ...planesOf([]),
        ]);
        muxPairs(row, 3 * pairPlanes, 0, pairPlanes, 2 * pairPlanes);
        for (const [phase, high] of nonEmpty.entries()) {
          expect(setAt(row, 3 * pairPlanes, phase)).toBe(imageOf(truth, select, low, high));
        }
      }
    }
  });

  it("turn both bits of each pair round under a complement, in place too", () => {
    const row = Int32Array.from(planesOf(nonEmpty));
    notPairs(row, 0, 0);
    for (const [phase, set] of nonEmpty.entries()) {
      expect(setAt(row, 0, phase)).toBe(imageOf((a = 0) => 1 - a, set));
    }
  });

  it("may stand where their result goes", () => {
    for (const [, apply, truth] of twoInputs) {
      const row = Int32Array.from([...planesOf([0b0110]), ...planesOf([0b1011])]);
      apply(row, 0, 0, pairPlanes);
      expect(setAt(row, 0, 0)).toBe(imageOf(truth, 0b0110, 0b1011));
    }
  });

  it("keep the reasons to vary of all their inputs, but only where they vary", () => {
    const random = createRandom(5);
    const anySet = (): number => {
      const set = 1 + random.below(15);
      return actualVaries(set) ? set | (random.below(4) << 4) : set;
    };
    for (let round = 0; round < 500; round += 1) {
      const [a, b] = [anySet(), anySet()];
      for (const [, apply] of twoInputs) {
        const row = Int32Array.from([...planesOf([a]), ...planesOf([b])]);
        apply(row, 0, 0, pairPlanes);
        const result = setAt(row, 0, 0);
        expect(result >> 4).toBe(actualVaries(result) ? (a | b) >> 4 : 0);
      }
    }
  });

  it("take a chosen input's reasons alone where the choice is sure", () => {
    const pulsing = 0b1001 | pairBit.pulsing;
    const looping = 0b1001 | pairBit.looping;
    const row = Int32Array.from([
      ...planesOf([0b0001, 0b1000, 0b1001]),
      ...planesOf([pulsing, pulsing, pulsing]),
      ...planesOf([looping, looping, looping]),
    ]);
    muxPairs(row, 0, 0, pairPlanes, 2 * pairPlanes);
    expect([0, 1, 2].map((phase) => setAt(row, 0, phase) >> 4)).toEqual([0b01, 0b10, 0b11]);
  });

  it("hold one pair for a constant", () => {
    const row = new Int32Array(pairPlanes).fill(-1);
    constantPairs(row, 0, true);
    expect(unionOfPairs(row, 0, 0b111)).toBe(pairBit.same1);
    constantPairs(row, 0, false);
    expect(unionOfPairs(row, 0, 0b111)).toBe(pairBit.same0);
  });

  it("tell by phase, and over some phases together, whether they vary and can be wrong", () => {
    const sets = nonEmpty;
    const row = Int32Array.from(planesOf(sets));
    const phasesWhere = (test: (set: number) => boolean): number =>
      sets.reduce((phases, set, phase) => (test(set) ? phases | (1 << phase) : phases), 0);
    expect(variesIn(row, 0)).toBe(phasesWhere(actualVaries));
    expect(canBeWrongIn(row, 0)).toBe(phasesWhere((set) => (set & 0b0110) !== 0));
    for (const [phase, set] of sets.entries()) {
      const union = unionOfPairs(row, 0, 1 << phase);
      expect(union).toBe(set);
      expect(varies(union)).toBe(actualVaries(set));
      expect(canBeWrong(union)).toBe((set & 0b0110) !== 0);
      expect(alwaysActual(union, 1)).toBe((set & 0b0101) === 0);
      expect(alwaysActual(union, 0)).toBe((set & 0b1010) === 0);
    }
    expect(unionOfPairs(row, 0, 0b11)).toBe((sets[0] ?? 0) | (sets[1] ?? 0));
  });
});
