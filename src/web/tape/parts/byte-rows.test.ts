import { describe, expect, it } from "vitest";
import { plainReading } from "../../../../test/support/plain-reading.js";
import { byteRows } from "./byte-rows.js";

const reading = plainReading("HELLO, TAPE! 0123456789", [5, 18], { doubtful: [7] });

function lines(from: number, to: number, notation: "hex" | "decimal" | "text", perRow: number): string[] {
  return byteRows(reading, from, to, notation, perRow).map(
    ({ place, cells, letters }) =>
      `${place}| ${cells.map(({ text, isDoubtful }) => `${text}${isDoubtful ? "?" : ""}`).join(" ")} |${letters}`,
  );
}

describe("rows of bytes", () => {
  it("begin anew with each block, and count from its beginning", () => {
    expect(lines(0, 23, "hex", 8)).toEqual([
      "0000| 48 45 4C 4C 4F |HELLO",
      "0000| 2C 20 54? 41 50 45 21 20 |, TAPE! ",
      "0008| 30 31 32 33 34 |01234",
      "0000| 35 36 37 38 39 |56789",
    ]);
  });

  it("keep their places when the stretch begins in the middle of one", () => {
    expect(lines(10, 16, "text", 8)).toEqual(["0005| E ! · |E! ".replace("·", " "), "0008| 0 1 2 |012"]);
  });

  it("write numbers in columns of one width", () => {
    expect(lines(18, 20, "decimal", 8)).toEqual(["0000| \u200753 \u200754 |56"]);
  });
});
