import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { planeShift, putValue } from "./planes.js";
import { Trail } from "./trail.js";
import { levelCount } from "./value.js";

describe("the trail of changes", () => {
  it("takes every change back, in either table and from any mark, however many there were", () => {
    const random = createRandom(17);
    const tables = [new Int32Array(20 << planeShift), new Int32Array(30 << planeShift)] as const;
    const trail = new Trail(...tables);
    const change = (count: number): void => {
      for (let i = 0; i < count; i += 1) {
        const table = random.below(2) === 0 ? 0 : 1;
        const at = random.below(table === 0 ? 20 : 30) << planeShift;
        trail.save(table, at);
        putValue(tables[table], at, random.below(levelCount), random.below(8));
      }
    };
    const first = tables.map((table) => table.slice());
    const start = trail.mark();
    change(3000);
    const second = tables.map((table) => table.slice());
    const middle = trail.mark();
    change(3000);
    expect(tables.map((table) => table.slice())).not.toEqual(second);
    trail.undo(middle);
    expect(tables.map((table) => table.slice())).toEqual(second);
    trail.undo(start);
    expect(tables.map((table) => table.slice())).toEqual(first);
  });

  it("tells where a table changed since a mark, oldest first", () => {
    const trail = new Trail(new Int32Array(64), new Int32Array(64));
    trail.save(0, 8);
    const mark = trail.mark();
    trail.save(0, 16);
    trail.save(1, 24);
    trail.save(0, 8);
    const places: number[] = [];
    trail.each(0, mark, (at) => places.push(at));
    expect(places).toEqual([16, 8]);
  });

  it("forgets", () => {
    const table = new Int32Array(8);
    const trail = new Trail(table);
    trail.save(0, 0);
    table[0] = 1;
    trail.clear();
    trail.undo(0);
    expect(table[0]).toBe(1);
  });
});
