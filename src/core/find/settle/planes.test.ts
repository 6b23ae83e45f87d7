import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import {
  copyValue,
  differingPhases,
  drivenPhases,
  levelAt,
  movingPhases,
  planeShift,
  putValue,
  unionOf,
  valueAt,
} from "./planes.js";
import { Level, levelCount, levelMask, moves, partTimeFlag, unionOverPhases, wrongFlag } from "./value.js";

const levels = Array.from({ length: levelCount }, (_, level) => level);
const everyValue = levels.flatMap((level) =>
  [0, wrongFlag, partTimeFlag, wrongFlag | partTimeFlag].map((flags) => level | flags),
);

/** A value that carries one byte in each phase. */
function planesOf(bytes: readonly number[]): Int32Array {
  const planes = new Int32Array(1 << planeShift);
  for (const [phase, byte] of bytes.entries()) putValue(planes, 0, byte, 1 << phase);
  return planes;
}

const allPhases = (count: number): number => 2 ** count - 1;

describe("a value in all phases at once", () => {
  it("gives back in each phase what was put there, whatever stood there before", () => {
    for (const before of everyValue) {
      for (const after of everyValue) {
        const planes = planesOf([before, before, before]);
        putValue(planes, 0, after, 0b101);
        expect([0, 1, 2].map((phase) => valueAt(planes, 0, phase))).toEqual([after, before, after]);
        expect(levelAt(planes, 0, 2)).toBe(after & levelMask);
      }
    }
  });

  it("knows in which phases it moves and is driven", () => {
    const planes = planesOf(levels);
    const phasesWhere = (test: (level: number) => boolean): number =>
      levels.reduce((phases, level) => (test(level) ? phases | (1 << level) : phases), 0);
    expect(movingPhases(planes, 0)).toBe(phasesWhere(moves));
    expect(drivenPhases(planes, 0)).toBe(phasesWhere((level) => level !== Level.floating));
  });

  it("looks over the phases together like the union of its bytes", () => {
    const random = createRandom(11);
    for (let round = 0; round < 3000; round += 1) {
      const count = 1 + random.below(5);
      const bytes = Array.from(
        { length: count },
        () => random.below(levelCount) | (random.below(4) === 0 ? wrongFlag : 0),
      );
      const expected = unionOverPhases(Uint8Array.from(bytes), 0, count);
      expect(unionOf(planesOf(bytes), 0, allPhases(count)), String(bytes)).toBe(expected);
    }
  });

  it("is copied whole and compared phase by phase", () => {
    const from = planesOf([Level.low, Level.high | wrongFlag, Level.pulsing | partTimeFlag]);
    const to = new Int32Array(2 << planeShift);
    copyValue(from, 0, to, 1 << planeShift);
    expect(differingPhases(to, 1 << planeShift, from)).toBe(0);
    putValue(to, 1 << planeShift, Level.high, 0b010);
    expect(differingPhases(to, 1 << planeShift, from)).toBe(0b010);
  });
});
