import { describe, expect, it } from "vitest";
import { checkRow, describeRow, halfLastPlace, type ReferenceRow, testDataPath } from "./check.js";

const base: ReferenceRow = { quantity: "mass", published: 1.25, ours: 1.25, tolerance: 0, tag: "published" };

describe("checkRow", () => {
  it("passes equal numbers and differences up to the tolerance", () => {
    expect(checkRow(base)).toMatchObject({ difference: 0, verdict: "pass" });
    expect(checkRow({ ...base, ours: 1.2504, tolerance: halfLastPlace(3) }).verdict).toBe("pass");
    expect(checkRow({ ...base, published: 0.3, ours: 0.35, tolerance: 0.05 }).verdict).toBe("pass");
  });

  it("fails beyond the tolerance, but only warns for values from memory", () => {
    const off = { ...base, ours: 1.2506, tolerance: halfLastPlace(3) };
    expect(checkRow(off).verdict).toBe("fail");
    expect(checkRow({ ...off, tag: "from memory" }).verdict).toBe("warn");
    expect(describeRow(checkRow(off))).toContain("published 1.25 (published), ours 1.2506");
  });

  it("compares text exactly and never takes text for a number", () => {
    expect(checkRow({ ...base, published: "{A}", ours: "{A}" }).verdict).toBe("pass");
    expect(checkRow({ ...base, published: "{A}", ours: "{B}" }).verdict).toBe("fail");
    expect(checkRow({ ...base, published: "1.25" }).verdict).toBe("fail");
  });

  it("fails on NaN and reports rows that were not computed as skipped", () => {
    expect(checkRow({ ...base, ours: Number.NaN, tolerance: 1 }).verdict).toBe("fail");
    expect(checkRow({ ...base, ours: null, skipped: "no data" }).verdict).toBe("skipped");
  });

  it("rejects a tolerance that is no length", () => {
    expect(() => checkRow({ ...base, tolerance: -1 })).toThrow(RangeError);
  });
});

describe("testDataPath", () => {
  it("gives null for what is not there", () => {
    expect(testDataPath("no-such-folder/at-all")).toBeNull();
  });
});
