import { describe, expect, it } from "vitest";
import { readInstalledFailureData } from "../../../../test/support/failure-data.js";
import { modeOdds, type PriorPart, partPrior } from "./prior.js";

const data = readInstalledFailureData();
const eprom: PriorPart = {
  ref: "U2",
  family: "eprom",
  technology: "nmos",
  section: "memory",
  pinCount: 24,
  complexity: { bits: 32768 },
  ageYears: 44,
};
const electrolytic: PriorPart = {
  ref: "C1",
  family: "capacitor-aluminium",
  technology: "passive",
  section: "supply",
  value: "1000u 16 V",
  ageYears: 44,
};

describe("the prior of a part", () => {
  it("is the product of its factors, each with its reason", () => {
    const prior = partPrior(data, electrolytic, { fieldFactor: { value: 1.5, why: "histories" } });
    const { handbook, tradeFactor, ageFactor, fieldFactor, eventFactor, historyFactor, total } = prior;
    const product = [tradeFactor, ageFactor, fieldFactor, eventFactor, historyFactor].reduce(
      (value, factor) => value * factor.value,
      handbook.value,
    );
    expect(total).toBeCloseTo(product, 12);
    expect(ageFactor.value).toBeCloseTo(1 + 0.2 * (44 - 15), 12);
    expect(ageFactor.why).toMatch(/dries out.*44 years.*Common practice, no source/);
    expect(handbook.inputs["microfarad"]).toBe(1000);
    for (const factor of [tradeFactor, ageFactor, fieldFactor]) expect(factor.why).not.toBe("");
  });

  it("takes overrides by part before those by family, and marks them", () => {
    const overrides = {
      parts: { C1: { age: 1 } },
      families: { "capacitor-aluminium": { age: 9, trade: 2 } },
    };
    const own = partPrior(data, electrolytic, { overrides });
    expect(own.ageFactor).toMatchObject({ value: 1, overridden: true, why: "Set by you." });
    expect(own.tradeFactor).toMatchObject({ value: 2, overridden: true });
    const other = partPrior(data, { ...electrolytic, ref: "C2" }, { overrides });
    expect(other.ageFactor.value).toBe(9);
    expect(other.total / own.total).toBeCloseTo(9, 12);
    const rate = partPrior(data, electrolytic, { overrides: { parts: { C1: { handbook: 7 } } } });
    expect(rate.handbook).toMatchObject({ value: 7, overridden: true });
  });

  it("rejects an override that is no factor", () => {
    const overrides = { parts: { C1: { trade: -1 } } };
    expect(() => partPrior(data, electrolytic, { overrides })).toThrow(/trade value set for C1/);
  });
});

describe("the rates of a part's modes", () => {
  it.each([eprom, electrolytic, { ...eprom, ageYears: 5 }])("sum to its total", (part) => {
    const prior = partPrior(data, part);
    const odds = modeOdds(data, prior);
    expect(odds.reduce((sum, row) => sum + row.ratePerMillionHours, 0)).toBeCloseTo(prior.total, 12);
    expect(odds.reduce((sum, row) => sum + row.share, 0)).toBeCloseTo(1, 12);
  });

  it("give the growth with age to the modes that wear, and leave the others as they were", () => {
    const rateOf = (ageYears: number, mode: string) =>
      modeOdds(data, partPrior(data, { ...eprom, ageYears })).find((row) => row.mode === mode)
        ?.ratePerMillionHours ?? 0;
    expect(rateOf(44, "wrong-content")).toBeGreaterThan(3 * rateOf(5, "wrong-content"));
    expect(rateOf(44, "slow")).toBeCloseTo(rateOf(5, "slow"), 12);
  });

  it("are raised by events one by one", () => {
    const eventFactor = { value: 2, modes: new Map([["shorted", 5] as const]), why: "over-voltage" };
    const rateOf = (context: object, mode: string) =>
      modeOdds(data, partPrior(data, eprom, context)).find((row) => row.mode === mode)?.ratePerMillionHours ??
      0;
    expect(rateOf({ eventFactor }, "shorted")).toBeCloseTo(10 * rateOf({}, "shorted"), 12);
    expect(rateOf({ eventFactor }, "slow")).toBeCloseTo(2 * rateOf({}, "slow"), 12);
  });
});
