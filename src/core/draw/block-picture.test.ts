import { describe, expect, it } from "vitest";
import { readPartLibrary } from "../../../test/support/part-types.js";
import { tinyBoard } from "../../../test/support/tiny-board.js";
import { renderBlockPicture } from "./block-picture.js";

const library = readPartLibrary();
const board = tinyBoard("U1:Z80 30=A0 11=+5V 29=GND; U2:2716 8=A0 24=+5V 12=GND; R1:resistor 1=A0 2=+5V");
const placed = {
  ...board,
  title: "A < B",
  parts: board.parts.map((part) => ({
    ...part,
    section: part.ref === "U1" ? ("processor" as const) : ("memory" as const),
    ...(part.ref === "U2" ? { source: "assumed" as const } : {}),
  })),
};

describe("the block picture", () => {
  const picture = renderBlockPicture(placed, library);

  it("has a box for each section with its chips, and none for resistors", () => {
    expect(picture.match(/font-weight="bold"/g)).toHaveLength(2);
    expect(picture).toContain("Z80  U1");
    expect(picture).not.toContain("R1");
  });

  it("marks what is assumed", () => {
    expect(picture).toContain("? 2716  U2");
    expect(picture.match(/stroke-dasharray/g)).toHaveLength(1);
  });

  it("draws a line for the one signal they share, not for the rails", () => {
    expect(picture.match(/<path /g)).toHaveLength(1);
    expect(picture).toContain(">1</text>");
  });

  it("escapes names and is the same each time", () => {
    expect(picture).toContain("A &lt; B");
    expect(renderBlockPicture(placed, library)).toBe(picture);
  });
});
