import { describe, expect, it } from "vitest";
import { expectRows } from "../support/expect-rows.js";
import { compositePeakAtMost, readingOf, referenceRows } from "./rows.js";

describe("weighted flutter and the arithmetic of tape speed", () => {
  expectRows(referenceRows);

  it("never adds more than the gains of two flutters", async () => {
    const { flutter } = await readingOf([
      { hz: 1, depthRatio: 0.001 },
      { hz: 10.137, depthRatio: 0.001 },
    ]);
    expect(100 * (flutter?.weightedPeakRatio ?? 1)).toBeLessThanOrEqual(compositePeakAtMost);
  });
});
