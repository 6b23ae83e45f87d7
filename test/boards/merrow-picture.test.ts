import { describe, expect, it } from "vitest";
import { combinationalLevels } from "./combinational.js";
import type { Bit } from "./moments.js";
import { loadBoard, loadPartTypes, netsByPinName } from "./support.js";

const board = loadBoard("merrow");
const types = loadPartTypes();
const levelsAt = combinationalLevels(board, types);

/** Levels of numbered nets that spell a number: `counted("C", 6, 40)` gives C0 to C5. */
function counted(prefix: string, width: number, value: number): [string, boolean][] {
  return Array.from({ length: width }, (_, bit) => [`${prefix}${bit}`, ((value >> bit) & 1) === 1]);
}

/** The number that nets carry, least significant first; `undefined` if one of them is not definite. */
function numberOn(level: (net: string) => Bit, nets: readonly string[]): number | undefined {
  let value = 0;
  for (const [bit, net] of nets.entries()) {
    const found = level(net);
    if (found === undefined) return undefined;
    if (found) value += 2 ** bit;
  }
  return value;
}

describe("the picture of Merrow, count by count", () => {
  const screenAddress = Array.from({ length: 10 }, (_, bit) => `SA${bit}`);

  it("gives each of the 40 x 24 characters a place of its own in the screen memory", () => {
    const places = new Set<number>();
    for (let row = 0; row < 24; row += 1) {
      for (let column = 0; column < 40; column += 1) {
        const counts = [...counted("C", 6, column), ...counted("L", 9, 8 * row + 3)];
        // High as for every address outside the screen memory.
        const level = levelsAt(new Map([...counts, ["/SCREEN SEL", true], ["TIE VIDEO", true]]));
        const wanted = column < 32 ? 32 * row + column : 0x300 + 8 * row + column - 32;
        expect([row, column, numberOn(level, screenAddress)]).toEqual([row, column, wanted]);
        places.add(wanted);
      }
    }
    expect(places.size).toBe(960);
  });

  it("shows 40 of 64 columns and makes the line sync in columns 48 to 51", () => {
    const columns = Array.from({ length: 64 }, (_, column) => {
      const level = levelsAt(new Map([...counted("C", 6, column), ["TIE VIDEO", true]]));
      return { blank: level("LINE BLANK"), sync: level("LINE SYNC") };
    });
    expect(columns.map(({ blank }) => blank)).toEqual(columns.map((_, column) => column >= 40));
    expect(columns.map(({ sync }) => sync)).toEqual(columns.map((_, column) => column >= 48 && column < 52));
  });

  it("shows 192 of 312 lines, makes the frame sync in lines 240 to 243, and starts again after line 311", () => {
    const lines = Array.from({ length: 312 }, (_, line) => {
      const level = levelsAt(new Map([...counted("L", 9, line), ["TIE VIDEO", true]]));
      return { blank: level("FRAME BLANK"), sync: level("FRAME SYNC"), end: level("/FRAME END") === false };
    });
    expect(lines.map(({ blank }) => blank)).toEqual(lines.map((_, line) => line >= 192));
    expect(lines.map(({ sync }) => sync)).toEqual(lines.map((_, line) => line >= 240 && line < 244));
    expect(lines.map(({ end }) => end)).toEqual(lines.map((_, line) => line === 311));
  });

  it("keeps to 64 microseconds a line and 50 frames a second", () => {
    const crystalHertz = board.parts.find((part) => part.type === "crystal")?.frequencyHertz ?? Number.NaN;
    const columnHertz = crystalHertz / 16;
    expect((64 / columnHertz) * 1e6).toBe(64);
    expect(columnHertz / 64 / 312).toBeCloseTo(50.08, 2);
  });

  it("loads the shift register at the end of each character and puts the leftmost dot out first", () => {
    const loading = Array.from({ length: 8 }, (_, count) => {
      const nets = ["4 MHZ", "2 MHZ", "1 MHZ"];
      const given = nets.map((net, bit): [string, boolean] => [net, ((count >> bit) & 1) === 1]);
      return levelsAt(new Map(given))("/DOT LOAD") === false;
    });
    expect(loading).toEqual([false, false, false, false, false, false, false, true]);
    expect(netsByPinName(board, types, "U38")).toMatchObject({ H: "GD7", A: "GD0", QH: "DOTS" });
  });

  it("inverts the dots of a character whose top bit is set, and shows none in blanking", () => {
    const dotAt = (dots: boolean, inverse: boolean, shown: boolean): Bit =>
      levelsAt(
        new Map([
          ["DOTS", dots],
          ["INVERSE", inverse],
          ["SHOW 2", shown],
        ]),
      )("DOT");
    expect([dotAt(true, false, true), dotAt(true, true, true)]).toEqual([true, false]);
    expect([dotAt(false, true, true), dotAt(false, true, false)]).toEqual([true, false]);
  });
});
