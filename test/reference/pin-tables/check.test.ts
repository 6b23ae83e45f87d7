import { describe, expect, it } from "vitest";
import { readPartLibrary, typeNamed } from "../../support/part-types.js";
import { checkRow } from "../support/check.js";
import { expectRows } from "../support/expect-rows.js";
import { readPinTableData } from "./pin-table-data.js";
import { referenceRows, symbolRow, tableRow } from "./rows.js";

expectRows(referenceRows);

describe("the comparison of pin tables", () => {
  const library = readPartLibrary();
  const data = readPinTableData();
  const verdict = (row: ReturnType<typeof tableRow>): string => checkRow(row).verdict;

  it("covers every type that data/part-types calls seen", () => {
    const compared = new Set([...data.pinTables, ...data.symbols].map((table) => table.type));
    const seen = library.names().filter((name) => {
      return typeNamed(library, name).sources.some((source) => source.confidence === "seen");
    });
    expect(seen.filter((name) => !compared.has(name))).toEqual([]);
  });

  it("calls seen only what was compared with a source", () => {
    for (const { type, confidence } of data.pinTables) {
      const seen = typeNamed(library, type).sources.some((source) => source.confidence === "seen");
      expect([type, seen]).toEqual([type, confidence === "seen"]);
    }
  });

  it("notices two pins that changed places", () => {
    const table = data.pinTables.find(({ type }) => type === "4116");
    const changed = table?.pins.replace("6:A2:in 7:A1:in", "6:A1:in 7:A2:in");
    expect(changed).not.toBe(table?.pins);
    expect(table && verdict(tableRow({ ...table, pins: changed ?? "" }, typeNamed(library, "4116")))).toBe(
      "fail",
    );
  });

  it("notices a gate whose pins belong to another gate", () => {
    const table = data.symbols.find(({ type }) => type === "74LS38");
    const changed = table?.pins.replace("2:1:in:. 3:1:", "2:2:in:. 3:1:");
    expect(changed).not.toBe(table?.pins);
    expect(table && verdict(symbolRow({ ...table, pins: changed ?? "" }, typeNamed(library, "74LS38")))).toBe(
      "fail",
    );
  });

  it("notices a name that stands at another pin, and another direction", () => {
    const table = data.symbols.find(({ type }) => type === "8253");
    const type = typeNamed(library, "8253");
    for (const [from, to] of [
      ["1:1:bidir:D7 2:1:bidir:D6", "1:1:bidir:D6 2:1:bidir:D7"],
      ["10:1:out:OUT0", "10:1:in:OUT0"],
    ] as const) {
      const changed = table?.pins.replace(from, to);
      expect(changed).not.toBe(table?.pins);
      expect(table && verdict(symbolRow({ ...table, pins: changed ?? "" }, type))).toBe("fail");
    }
  });
});
