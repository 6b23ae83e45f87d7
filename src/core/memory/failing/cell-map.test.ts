import { describe, expect, it } from "vitest";
import { loadBoard } from "../../../app/load-board.js";
import { openStore } from "../../../store/store.js";
import { mapMemory } from "../map/memory-map.js";
import { cellMap } from "./cell-map.js";

const store = openStore();

function arraysOf(name: string) {
  const { value } = loadBoard(store, name);
  if (value === undefined) throw new Error(`${name} is not sound`);
  return mapMemory(value.board, value.types).value ?? [];
}

const [pellow] = arraysOf("pellow-16");
const screen = arraysOf("merrow").find(({ kind }) => kind === "screen");
const main = arraysOf("merrow").find(({ kind }) => kind === "ram");
if (pellow === undefined || screen === undefined || main === undefined) throw new Error("no memory");

describe("the memory as cells", () => {
  it("draws a row of a 4116 as a line of blocks in one chip only", () => {
    // Row 5 is A0 to A6 = 5; the 128 columns are A7 to A13.
    const reads = Array.from({ length: 128 }, (_, column) => ({
      address: column * 128 + 5,
      expected: 0,
      read: 4,
    }));
    const panels = cellMap(pellow, reads, undefined);
    expect(panels.map(({ part, failing }) => `${part} ${failing}`)).toContain("U19 128");
    const [bit2] = panels.filter(({ bit }) => bit === 2);
    expect(bit2).toMatchObject({ rows: 128, columns: 128, block: 2, tested: 16384 });
    const failed = [...(bit2?.states ?? [])].flatMap((state, at) => (state > 1 ? [[at, state]] : []));
    // A block holds two rows of which one fails.
    expect(failed).toEqual(Array.from({ length: 64 }, (_, k) => [2 * 64 + k, 2]));
    expect(
      panels.filter(({ bit }) => bit !== 2).every(({ states }) => states.every((state) => state === 1)),
    ).toBe(true);
  });

  it("leaves what was not tested empty, also the part of the chips that the map does not show", () => {
    const tested = [{ from: 0x2000, to: 0x2fff }];
    const [bit0] = cellMap(pellow, [{ address: 0x2000, expected: 1, read: 0 }], tested);
    expect(bit0).toMatchObject({ failing: 1, tested: 0x1000 });
    expect([...(bit0?.states ?? [])].filter((state) => state === 0)).toHaveLength((64 * 64 * 3) / 4);
    const [hidden] = cellMap(main, [], undefined);
    // 8 of 64 KiB of the chips lie under ROM and screen.
    expect([...(hidden?.states ?? [])].filter((state) => state === 0)).toHaveLength((64 * 64) / 8);
  });

  it("draws a static memory by address, and folds its copies", () => {
    const panels = cellMap(screen, [{ address: 0x1c21, expected: 0, read: 1 }], undefined);
    expect(panels).toHaveLength(8);
    expect(panels[0]).toMatchObject({
      part: "U33",
      rows: 32,
      columns: 32,
      block: 1,
      failing: 1,
      tested: 1024,
    });
    expect(panels[0]?.states[0x21]).toBe(3);
  });
});
