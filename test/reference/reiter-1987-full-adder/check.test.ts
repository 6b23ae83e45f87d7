import { describe, expect, it } from "vitest";
import { minimalHittingSets } from "../../../src/core/inference/minimal-sets.js";
import { expectRows } from "../support/expect-rows.js";
import { minimalConflicts, minimalDiagnoses } from "../support/weak-fault-model.js";
import { consistent, gateNames } from "./circuit.js";
import { referenceRows } from "./rows.js";

describe("Reiter's full adder", () => {
  expectRows(referenceRows);

  it("has the same minimal diagnoses by enumeration and from the conflicts", () => {
    const { sets, complete } = minimalHittingSets(minimalConflicts(gateNames.length, consistent));
    expect(complete).toBe(true);
    const enumerated = minimalDiagnoses(gateNames.length, consistent);
    expect(sets).toHaveLength(enumerated.length);
    expect(sets).toEqual(expect.arrayContaining(enumerated));
  });
});
