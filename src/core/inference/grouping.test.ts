import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { groupEqualColumns, groupEqualRows } from "./grouping.js";

/** Grouping by comparing each row with the first row of each group before it. */
function groupNaively(rows: readonly (readonly number[])[]): { groupOf: number[]; firstRow: number[] } {
  const firstRow: number[] = [];
  const groupOf = rows.map((row, index) => {
    const known = firstRow.findIndex((first) => row.every((code, k) => code === rows[first]?.[k]));
    if (known >= 0) return known;
    firstRow.push(index);
    return firstRow.length - 1;
  });
  return { groupOf, firstRow };
}

const tables = fc
  .integer({ min: 0, max: 4 })
  .chain((width) =>
    fc.array(fc.array(fc.constantFrom(0, 1, 255), { minLength: width, maxLength: width }), { maxLength: 30 }),
  );

describe("groupEqualRows", () => {
  it("numbers groups by their first row", () => {
    // Three hypotheses and two observables, so that rows and columns cannot be mistaken for each other.
    const codes = Uint8Array.of(1, 2, 0, 2, 1, 2);
    expect(groupEqualRows(codes, 3, 2)).toEqual({
      groupOf: Int32Array.of(0, 1, 0),
      groupCount: 2,
      firstRow: Int32Array.of(0, 1),
    });
  });

  it("agrees with comparing all rows", () => {
    fc.assert(
      fc.property(tables, (rows) => {
        const grouping = groupEqualRows(Uint8Array.from(rows.flat()), rows.length, rows[0]?.length ?? 0);
        const expected = groupNaively(rows);
        expect([...grouping.groupOf]).toEqual(expected.groupOf);
        expect([...grouping.firstRow]).toEqual(expected.firstRow);
        expect(grouping.groupCount).toBe(expected.firstRow.length);
      }),
      { seed: 7, numRuns: 300 },
    );
  });

  it("puts all into one group where nothing is observed", () => {
    expect(groupEqualRows(new Uint8Array(), 3, 0).groupCount).toBe(1);
    expect(groupEqualRows(new Uint8Array(), 0, 5).groupCount).toBe(0);
  });

  it("never merges different rows, though hashes of 32 bits must clash among so many", () => {
    // Of these 2^18 different rows five have the hash of another one.
    const count = 2 ** 18;
    const codes = new Uint8Array(3 * count);
    for (let h = 0; h < count; h += 1) codes.set([h & 255, (h >> 8) & 255, h >> 16], 3 * h);
    expect(groupEqualRows(codes, count, 3).groupCount).toBe(count);
  });

  it("rejects a table of another size", () => {
    expect(() => groupEqualRows(new Uint8Array(5), 3, 2)).toThrow("table has 5 codes, expected 3 x 2");
  });
});

describe("groupEqualColumns", () => {
  it("agrees with grouping the chosen rows of the table by rows", () => {
    const picks = tables.chain((rows) =>
      fc.record({
        rows: fc.constant(rows),
        chosen:
          rows.length === 0
            ? fc.constant<number[]>([])
            : fc.array(fc.nat(rows.length - 1), { maxLength: 30 }),
      }),
    );
    fc.assert(
      fc.property(picks, ({ rows, chosen }) => {
        const width = rows[0]?.length ?? 0;
        const columns = Array.from({ length: width }, (_, k) => rows.map((row) => row[k] ?? 0));
        const byColumns = groupEqualColumns(columns, Int32Array.from(chosen));
        const picked = chosen.map((row) => rows[row] ?? []);
        expect(byColumns).toEqual(groupEqualRows(Uint8Array.from(picked.flat()), chosen.length, width));
      }),
      { seed: 8, numRuns: 300 },
    );
  });

  it("takes numbers beyond a byte, such as groups of another grouping", () => {
    const column = Int32Array.of(70_000, 256, 0, 70_000);
    expect([...groupEqualColumns([column], Int32Array.of(3, 2, 1, 0)).groupOf]).toEqual([0, 1, 2, 0]);
  });
});
