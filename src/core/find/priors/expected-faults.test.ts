import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { faultIntensity, oddsFromRates } from "./expected-faults.js";

describe("expected faults", () => {
  it.each([1.01, 1.2, 1.6, 3, 12])("solve the equation for %d", (expected) => {
    const mean = faultIntensity(expected);
    expect(mean / (1 - Math.exp(-mean))).toBeCloseTo(expected, 9);
  });

  it("make odds in proportion to small rates", () => {
    const odds = oddsFromRates([1, 2, 997], 1.5);
    expect((odds[1] ?? 0) / (odds[0] ?? 1)).toBeCloseTo(2, 2);
    expect(odds).toHaveLength(3);
  });

  it("give faulty boards the expected number of faults", () => {
    const seed = 11;
    const random = createRandom(seed);
    const rates = Array.from({ length: 300 }, () => random.next());
    const probabilities = Array.from(oddsFromRates(rates, 1.6), (odds) => odds / (1 + odds));
    let boards = 0;
    let faults = 0;
    for (let trial = 0; trial < 4000; trial += 1) {
      const here = probabilities.filter((probability) => random.next() < probability).length;
      if (here > 0) {
        boards += 1;
        faults += here;
      }
    }
    // Standard error of the mean is about 0.016.
    expect(Math.abs(faults / boards - 1.6), `seed ${seed}`).toBeLessThan(0.06);
  });

  it("reject rates and numbers out of range", () => {
    expect(() => oddsFromRates([0, 0], 1.5)).toThrow(RangeError);
    expect(() => oddsFromRates([1, -1], 1.5)).toThrow(RangeError);
    expect(() => faultIntensity(1)).toThrow(/above 1/);
  });
});
