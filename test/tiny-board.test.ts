import { describe, expect, it } from "vitest";
import { isPlainGrid } from "../src/core/board/plain-grid.js";
import { tinyBoard } from "./support/tiny-board.js";

describe("the one-line notation for boards", () => {
  it("reads parts, pins and places", () => {
    const board = tinyBoard("U1:74LS00 1=A 14=+5V ; C1:capacitor-ceramic @10,-2.5 1=-12V 2=GND;");
    expect(board.parts).toMatchObject([
      { ref: "U1", type: "74LS00", xMillimetre: 0, yMillimetre: 0, pins: { "1": "A", "14": "+5V" } },
      {
        ref: "C1",
        type: "capacitor-ceramic",
        xMillimetre: 10,
        yMillimetre: -2.5,
        pins: { "1": "-12V", "2": "GND" },
      },
    ]);
    expect(board.rails.map(({ net, nominalVolt }) => [net, nominalVolt])).toEqual([
      ["+5V", 5],
      ["-12V", -12],
    ]);
    expect(isPlainGrid(board)).toBe(false);
  });

  it("lays parts without places on the plain grid, and takes further fields", () => {
    const board = tinyBoard("R1:resistor 1=A 2=B; R2:resistor 1=B 2=C; R3:resistor 1=C 2=A", { ground: "A" });
    expect(isPlainGrid(board)).toBe(true);
    expect(board.ground).toBe("A");
    expect(new Set(board.parts.map((part) => `${part.xMillimetre},${part.yMillimetre}`)).size).toBe(3);
  });

  it.each(["U1", "U1:74LS00 1", "U1:74LS00 1=A 1=B", "U1:74LS00 @1"])("refuses %s", (text) => {
    expect(() => tinyBoard(text)).toThrow(SyntaxError);
  });
});
