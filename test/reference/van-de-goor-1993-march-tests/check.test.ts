import { describe, expect, it } from "vitest";
import { type Coverage, simulateCoverage } from "../../../src/core/memory/faults/coverage.js";
import { faultsOfClass } from "../../../src/core/memory/faults/enumerate.js";
import { expectRows } from "../support/expect-rows.js";
import { classesOf, data, installedTests, testNamed } from "./data.js";
import { referenceRows } from "./rows.js";

describe("which faults march tests catch", () => {
  expectRows(referenceRows);

  it("is in no doubt about the escapes that everybody agrees on", () => {
    const caught = (id: string, addresses = 3): Coverage["classes"] =>
      simulateCoverage(testNamed(id).test, { addresses, wordBits: 1 }).classes;
    const share = (id: string, name: string): string => {
      const found = caught(id).find(({ faultClass }) => faultClass === name);
      return `${found?.detected}/${found?.total}`;
    };
    expect(share("mats+", "TF")).toBe("3/6");
    expect(share("march-c-", "WDF")).toBe("0/6");
    expect(share("march-c-", "DRDF")).toBe("0/6");
    for (const { faultClass, detected, total } of caught("march-ss")) {
      // Stuck-open and retention are no static faults of one operation.
      if (faultClass !== "SOF" && faultClass !== "DRF") expect(detected, faultClass).toBe(total);
    }
  });

  it("has the same verdict for three and for five cells", () => {
    for (const { id, test } of installedTests) {
      const complete = (addresses: number): string[] =>
        simulateCoverage(test, { addresses, wordBits: 1 })
          .classes.filter(({ detected, total }) => detected === total)
          .map(({ faultClass }) => faultClass);
      expect(complete(5), id).toEqual(complete(3));
    }
  });

  it("counts as many faults as the definitions give", () => {
    for (const [k, faultClass] of data.classes.entries())
      expect(faultsOfClass(faultClass, { addresses: 3, wordBits: 1 }), faultClass).toHaveLength(
        data.totals[k] ?? -1,
      );
    expect(faultsOfClass("CFds", { addresses: 3, wordBits: 1 })).toHaveLength(72);
  });

  it("lists every installed test", () => {
    expect(Object.keys(data.counts).sort()).toEqual(installedTests.map(({ id }) => id).sort());
    expect(Object.keys(data.published).flatMap(classesOf)).toHaveLength(9);
  });
});
