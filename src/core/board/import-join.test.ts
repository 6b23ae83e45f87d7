import { describe, expect, it } from "vitest";
import { type DraftFile, joinDrafts } from "./import-join.js";
import { readBoardText } from "./read/detect-format.js";

/** A table of pins as one file. */
function table(file: string, ...rows: string[]): DraftFile {
  const { value, problems } = readBoardText(`ref,pin,net,type\n${rows.join("\n")}\n`, { file });
  if (value === undefined) throw new Error(JSON.stringify(problems));
  return { file, format: "csv", draft: value };
}

/** Test records as one file, `ref pin net`. */
function testRecords(file: string, ...rows: string[]): DraftFile {
  const records = rows.map((row, i) => {
    const [ref = "", pin = "", net = ""] = row.split(" ");
    return `317${net.padEnd(14)}   ${ref.padEnd(6)}-${pin.padEnd(4)} D0320PA00X+00${i + 1}000Y+001000`;
  });
  const { value, problems, format } = readBoardText(["P  UNITS CUST 1", ...records, "999", ""].join("\n"), {
    file,
  });
  if (value === undefined || problems.length > 0) throw new Error(JSON.stringify(problems));
  return { file, format, draft: value };
}

const netlist = table(
  "a.csv",
  "U1,1,A,74LS00",
  "U1,7,GND,",
  "R1,1,A,4k7",
  "R1,2,B,",
  "C1,1,GND,100n",
  "C1,2,B,",
);
const said = (...files: DraftFile[]): string[] =>
  joinDrafts(files).problems.map(({ code, message }) => `${code}: ${message}`);

describe("joining files of one board", () => {
  it("takes types and nets from the netlist and places from the other, in either order", () => {
    const records = testRecords(
      "b.ipc",
      "U1 1 N001",
      "U1 7 N002",
      "R1 1 N001",
      "R1 2 N003",
      "C1 1 N002",
      "C1 2 N003",
    );
    for (const files of [
      [netlist, records],
      [records, netlist],
    ]) {
      const { value, problems } = joinDrafts(files);
      expect(problems).toEqual([]);
      expect(value?.components.map(({ value: type }) => type)).toEqual(["74LS00", "4k7", "100n"]);
      expect(value?.nets.map(({ name }) => name)).toEqual(["A", "GND", "B"]);
      expect(value?.layout?.places.get("R1")?.pads[0]).toEqual({ pin: "1", xMillimetre: 3, yMillimetre: -1 });
    }
  });

  it("says which pins are joined otherwise, by name and place", () => {
    const { problems } = joinDrafts([
      netlist,
      testRecords("b.ipc", "U1 1 A", "U1 7 GND", "R1 1 GND", "R1 2 B", "C1 1 GND", "C1 2 B"),
    ]);
    expect(problems.map(({ code, where }) => [code, where])).toEqual([
      ["nets-differ", { file: "b.ipc", line: 4, field: "R1.1" }],
    ]);
  });

  it("says that two nets are one in the other file", () => {
    const merged = testRecords("b.ipc", "U1 1 A", "U1 7 X", "R1 1 A", "R1 2 X", "C1 1 X", "C1 2 X");
    expect(said(netlist, merged).every((line) => line.startsWith("nets-differ: Pin '"))).toBe(true);
    expect(said(netlist, merged).length).toBeGreaterThan(0);
  });

  it("says what only one file has", () => {
    const records = testRecords("b.ipc", "U1 1 A", "R1 1 A", "R1 2 B", "U9 1 B");
    expect(said(netlist, records)).toEqual([
      expect.stringMatching(/^only-in-one-file: The table of pins a\.csv has C1, which b\.ipc has not/),
      expect.stringMatching(/^only-in-one-file: .* b\.ipc has U9, which a\.csv has not\. They were left out/),
      expect.stringMatching(/^nets-differ: a\.csv connects U1\.7, which b\.ipc leaves open/),
    ]);
    expect(joinDrafts([netlist, records]).value?.components.map(({ ref }) => ref)).toEqual([
      "U1",
      "R1",
      "C1",
    ]);
  });

  it("keeps the first value and fills a missing one", () => {
    const other = table("b.csv", "U1,1,A,74LS08", "R1,1,A,", "R1,2,B,", "U1,7,GND,", "C1,1,GND,", "C1,2,B,");
    expect(said(netlist, other)).toEqual([
      expect.stringMatching(/^values-differ: 'U1' is '74LS08' here and '74LS00' in a\.csv/),
    ]);
    const blank = table("c.csv", "U1,1,A,", "U1,7,GND,", "R1,1,A,", "R1,2,B,", "C1,1,GND,", "C1,2,B,");
    const { value, problems } = joinDrafts([blank, netlist]);
    expect(problems).toEqual([]);
    expect(value?.components.map(({ value: type }) => type)).toEqual(["74LS00", "4k7", "100n"]);
  });

  it("returns one file as it is, and refuses none", () => {
    expect(joinDrafts([netlist])).toEqual({ value: netlist.draft, problems: [] });
    expect(() => joinDrafts([])).toThrow(RangeError);
  });
});
