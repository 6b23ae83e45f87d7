import { expect, it } from "vitest";
import { checkRow, describeRow, type ReferenceRow } from "./check.js";

/**
 * Declares one test that asserts every row. Mismatches of values from memory are printed as warnings, rows that
 * could not be computed are printed once with their reason; both leave the test green.
 */
export function expectRows(referenceRows: () => Promise<ReferenceRow[]>): void {
  it("agrees with the values from outside", async () => {
    const checked = (await referenceRows()).map(checkRow);
    expect(checked.length, "number of rows").toBeGreaterThan(0);
    for (const row of checked) if (row.verdict === "warn") console.warn(`warning: ${describeRow(row)}`);
    const skipped = checked.filter((row) => row.verdict === "skipped");
    const reasons = new Set(skipped.map((row) => row.skipped ?? "no reason given"));
    for (const reason of reasons) console.warn(`skipped ${skipped.length} rows: ${reason}`);
    expect(checked.filter((row) => row.verdict === "fail").map(describeRow)).toEqual([]);
  });
}
