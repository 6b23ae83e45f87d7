import { describe, expect, it } from "vitest";
import { readPartLibrary } from "../../../../test/support/part-types.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import { parseBoardFile } from "./board-file.js";
import { migrateBoard } from "./board-migrations.js";

const library = readPartLibrary();
const first = JSON.parse(
  JSON.stringify(tinyBoard("U1:74LS00 1=A 7=GND 14=+5V; R1:resistor 1=A 2=+5V", { formatVersion: 1 })),
);
const codes = (board: unknown): string[] =>
  parseBoardFile(JSON.stringify(board, null, 1), library, { file: "b.json" }).problems.map(
    ({ code }) => code,
  );

describe("board files of older versions", () => {
  it("are read as the present one, with nothing else changed", () => {
    const { value, problems } = parseBoardFile(JSON.stringify(first), library);
    expect(problems).toEqual([]);
    expect(value).toEqual({ ...first, formatVersion: 3 });
  });

  it("keep their problems at the places in the file", () => {
    const text = JSON.stringify({ ...first, title: 5 }, null, 1);
    const [problem] = parseBoardFile(text, library, { file: "b.json" }).problems;
    expect(problem?.where).toMatchObject({ file: "b.json", field: "title" });
    expect(text.split("\n")[(problem?.where.line ?? 0) - 1]).toContain('"title": 5');
  });

  it("of a newer boardwake are refused with one sentence", () => {
    const newer = { ...first, formatVersion: 9, colour: "red" };
    const { value, problems } = parseBoardFile(JSON.stringify(newer), library, { file: "b.json" });
    expect(value).toBeUndefined();
    expect(problems.map(({ message }) => message)).toEqual([
      "The board file states format version 9; this boardwake reads up to 3.",
    ]);
  });

  it("without a version, or of none that there was, are refused by the schema", () => {
    expect(codes({ ...first, formatVersion: undefined })).toEqual(["field-missing"]);
    expect(codes({ ...first, formatVersion: 0 })).toEqual(["field-invalid"]);
    for (const odd of [null, 4, "x", []]) expect(migrateBoard(odd)).toBe(odd);
  });
});

describe("assumed parts and pins of a board file", () => {
  const assuming = (source: string, assumedPins: string[]): unknown => ({
    ...first,
    formatVersion: 3,
    assumedWiredOtherwise: 0.1,
    parts: first.parts.map((part: { ref: string }) =>
      part.ref === "U1" ? { ...part, source, assumedPins } : part,
    ),
  });

  it("are read", () => {
    expect(codes(assuming("assumed", ["1"]))).toEqual([]);
  });

  it("know no other origin", () => {
    expect(codes(assuming("rumour", ["1"]))).toEqual(["field-invalid"]);
  });
});

describe("pads and sides of a board file", () => {
  const withPads = (pads: unknown): unknown => ({
    ...first,
    formatVersion: 2,
    parts: first.parts.map((part: { ref: string }) =>
      part.ref === "U1" ? { ...part, side: "back", pads } : part,
    ),
  });

  it("are read", () => {
    expect(codes(withPads({ "1": [1, 2.5], "14": [9, 2.5] }))).toEqual([]);
  });

  it("must be pins of the type, and places", () => {
    expect(codes(withPads({ "15": [1, 2.5] }))).toEqual(["unknown-pin"]);
    expect(codes(withPads({ "1": [1] }))).toEqual(["field-invalid"]);
  });
});
