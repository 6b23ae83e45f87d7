import { describe, expect, it } from "vitest";
import { readInstalledFailureData } from "../../../../test/support/failure-data.js";
import type { FailureModeId } from "../../board/failure-mode.js";
import { type FaultFamily, faultFamilies } from "./fault-family.js";
import { modeShares } from "./mode-shares.js";

const data = readInstalledFailureData()["mode-shares"];

function shareOf(family: FaultFamily, mode: FailureModeId) {
  const row = modeShares(data, family).find((entry) => entry.mode === mode);
  if (row === undefined) throw new Error(`${family} has no mode ${mode}`);
  return row;
}

describe("mode shares", () => {
  it.each(faultFamilies)("of %s sum to 1, each with manifestations that sum to 1", (family) => {
    const shares = modeShares(data, family);
    expect(shares.reduce((sum, row) => sum + row.share, 0)).toBeCloseTo(1, 12);
    for (const { mode, share, manifestations } of shares) {
      expect(share, mode).toBeGreaterThan(0);
      expect(
        manifestations.reduce((sum, row) => sum + row.share, 0),
        mode,
      ).toBeCloseTo(1, 12);
    }
    expect(shares.map((row) => row.share)).toEqual(shares.map((row) => row.share).sort((a, b) => b - a));
  });

  it("start from the published shares", () => {
    expect(shareOf("logic-bipolar", "output-stuck-high").publishedShare).toBeCloseTo(0.28, 12);
    expect(shareOf("transistor", "short").publishedShare).toBeCloseTo(0.73, 12);
    expect(shareOf("transistor", "short").share).toBeCloseTo(0.73, 12);
  });

  it("normalise a published list that does not sum to 1", () => {
    expect(shareOf("logic-mos", "input-open").publishedShare).toBeCloseTo(0.36 / 1.01, 12);
  });

  it("show the trade's factors apart, with their reasons", () => {
    const dried = shareOf("capacitor-aluminium", "dried-out");
    expect(dried.publishedShare).toBeCloseTo(0.02, 12);
    expect(dried.tradeFactor).toBe(15);
    expect(dried.reasons.join()).toContain("dry out");
    expect(dried.share).toBeGreaterThan(0.2);
  });

  it("mark a mode the handbook does not list", () => {
    expect(shareOf("logic-bipolar", "slow").publishedShare).toBe(0);
    expect(shareOf("logic-bipolar", "slow").share).toBeGreaterThan(0);
  });

  it("say which modes come and go", () => {
    const kinds = (mode: FailureModeId, family: FaultFamily) =>
      Object.fromEntries(shareOf(family, mode).manifestations.map((row) => [row.kind, row.share]));
    expect(kinds("contact-intermittent", "socket")["intermittent"]).toBeGreaterThan(0.5);
    expect(kinds("slow", "dram")["warm-only"]).toBeGreaterThan(0.5);
    expect(kinds("slow", "dram")["permanent"]).toBeUndefined();
  });

  it("do not answer for a family without data", () => {
    expect(() => modeShares({ ...data, families: [] }, "dram")).toThrow(
      /no failure-mode shares for family dram/,
    );
  });
});
