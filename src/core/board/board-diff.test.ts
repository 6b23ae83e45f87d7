import { describe, expect, it } from "vitest";
import { tinyBoard } from "../../../test/support/tiny-board.js";
import type { Board } from "./board.js";
import { diffBoards, isSameBoard } from "./board-diff.js";

const text = "U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; R1:resistor 1=A 2=+5V; R2:resistor 1=B 2=+5V";
const board = tinyBoard(text);
const nothing = { added: [], removed: [], renamedNets: [], pins: [], fields: [] };
const withPart = (ref: string, more: Partial<Board["parts"][number]>): Board => ({
  ...board,
  parts: board.parts.map((part) => (part.ref === ref ? { ...part, ...more } : part)),
});

describe("the difference of two boards", () => {
  it("is nothing between a board and itself, in whatever order its parts stand", () => {
    const diff = diffBoards(board, { ...board, parts: [...board.parts].reverse() });
    expect(diff).toEqual(nothing);
    expect(isSameBoard(diff)).toBe(true);
  });

  it("is one line for a net that was renamed", () => {
    const diff = diffBoards(board, tinyBoard(text.replaceAll("=A", "=/CS")));
    expect(diff).toEqual({ ...nothing, renamedNets: [{ before: "A", after: "/CS" }] });
    expect(isSameBoard(diff)).toBe(false);
  });

  it("is the pins that moved, were opened or were joined", () => {
    const diff = diffBoards(
      board,
      tinyBoard(text.replace("R2:resistor 1=B", "R2:resistor 1=A").replace("3=Y ", "4=B ")),
    );
    expect(diff.pins).toEqual([
      { pin: "R2.1", before: "B", after: "A" },
      { pin: "U1.3", before: "Y" },
      { pin: "U1.4", after: "B" },
    ]);
    expect(diff.renamedNets).toEqual([]);
  });

  it("tells two nets that changed names from two that changed pins", () => {
    const swapped = text.replaceAll("=A", "=T").replaceAll("=B", "=A").replaceAll("=T", "=B");
    expect(diffBoards(board, tinyBoard(swapped))).toEqual({
      ...nothing,
      renamedNets: [
        { before: "A", after: "B" },
        { before: "B", after: "A" },
      ],
    });
  });

  it("is parts that came, went, or became something else", () => {
    const other = tinyBoard(
      "U1:74LS08 1=A 2=B 3=Y 7=GND 14=+5V; R1:resistor 1=A 2=+5V; C1:capacitor-ceramic 1=+5V 2=GND",
    );
    const diff = diffBoards(board, other);
    expect([diff.added, diff.removed]).toEqual([["C1"], ["R2"]]);
    expect(diff.fields).toEqual([{ field: "parts.U1.type", before: "74LS00", after: "74LS08" }]);
  });

  it("is places and sides, but not the rounding of an export", () => {
    const { xMillimetre = 0, yMillimetre = 0 } = board.parts[0] ?? {};
    expect(diffBoards(board, withPart("U1", { xMillimetre: xMillimetre + 0.004 }))).toEqual(nothing);
    expect(diffBoards(board, withPart("U1", { xMillimetre: xMillimetre + 1, side: "back" })).fields).toEqual([
      { field: "parts.U1.side", after: "back" },
      {
        field: "parts.U1.place",
        before: `${xMillimetre}, ${yMillimetre} mm`,
        after: `${xMillimetre + 1}, ${yMillimetre} mm`,
      },
    ]);
  });

  it("is what the board says beside its parts", () => {
    const diff = diffBoards(board, { ...board, title: "Other", year: 1983, rails: [], steady: { A: "low" } });
    expect(diff.fields.map(({ field }) => field)).toEqual(["title", "rails.+5V", "year", "steady.A"]);
  });
});
