import { describe, expect, it } from "vitest";
import { caseOf, entry, preparedBoard } from "../../../../test/support/prepared-board.js";
import { solveCase } from "../solve.js";
import { groupKey, leadingPairs, suspectGroups } from "./groups.js";

const prepared = preparedBoard("merrow");
const logged = caseOf([entry.symptom("random-characters"), entry.symptom("no-beep")]);
const solved = solveCase(prepared, logged, { candidates: 40, settle: 100 });
const { space, beliefs, pairs } = solved;
const groups = suspectGroups(prepared, space, beliefs);

describe("groups of suspects", () => {
  it("hold together what nothing outside tells apart, likeliest first", () => {
    expect(groups.length).toBeGreaterThan(10);
    const order = groups.map(({ probability }) => probability);
    expect(order).toEqual([...order].sort((a, b) => b - a));
    for (const { probability, members, parts } of groups) {
      expect(members.reduce((sum, one) => sum + one.probability, 0)).toBeCloseTo(probability, 12);
      expect(new Set(members.map(({ part }) => part))).toEqual(new Set(parts));
    }
  });

  it("join faults of different parts whose rows and signs are equal", () => {
    const { table } = prepared;
    const key = new Map<string, number>();
    for (let h = 2; h < space.odds.length; h += 1) {
      const own = groupKey(prepared, space, h);
      const effect = space.faults[h - 2]?.effect ?? -1;
      const twin = own === undefined ? undefined : key.get(own);
      if (own !== undefined && twin === undefined) key.set(own, effect);
      if (twin === undefined || twin === effect) continue;
      const rows = (one: number) => (table.firstRow[one + 1] ?? 0) - (table.firstRow[one] ?? 0);
      expect(rows(effect)).toBe(rows(twin));
      const net = (one: number) =>
        table.nets.subarray(
          (table.firstRow[one] ?? 0) * table.netCount,
          (table.firstRow[one + 1] ?? 0) * table.netCount,
        );
      expect([...net(effect)]).toEqual([...net(twin)]);
    }
    expect(groups.some(({ parts }) => parts.length > 3)).toBe(true);
  });

  it("are none for health and for what is not in the model", () => {
    expect(groupKey(prepared, space, 0)).toBeUndefined();
    expect(groupKey(prepared, space, 1)).toBeUndefined();
  });
});

describe("the leading pairs", () => {
  it("are at most five, likeliest first, with both faults named", () => {
    const leading = leadingPairs(space, pairs, beliefs);
    expect(leading.length).toBeLessThanOrEqual(5);
    const order = leading.map(({ probability }) => probability);
    expect(order).toEqual([...order].sort((a, b) => b - a));
    for (const { parts, faults, probability } of leading) {
      expect(probability).toBeGreaterThanOrEqual(0.005);
      for (const side of [0, 1] as const) expect(faults[side].startsWith(`${parts[side]}:`)).toBe(true);
    }
  });
});
