import { describe, expect, it } from "vitest";
import { parseIntelHex, printIntelHex } from "../../../src/core/rom/intel-hex.js";
import { parseSRecords, printSRecords } from "../../../src/core/rom/s-record.js";
import { expectRows } from "../support/expect-rows.js";
import { data, referenceRows } from "./rows.js";

describe("published records", () => {
  expectRows(referenceRows);

  it("have heads that are passed over and ends that are ours", () => {
    for (const head of data.heads)
      expect(parseSRecords(`${head}\nS9030000FC\n`)).toEqual({ value: [], problems: [] });
    expect(printIntelHex([])).toBe(`${data.ends[0]}\n`);
    const high = printSRecords([{ address: 0xcafe0000, bytes: Uint8Array.of(1) }]);
    expect(high.trimEnd().split("\n").at(-1)).toBe(data.ends[1]);
    expect(parseIntelHex(`${data.ends[0]}`).problems).toEqual([]);
  });
});
