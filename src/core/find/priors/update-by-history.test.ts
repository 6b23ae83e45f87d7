import { describe, expect, it } from "vitest";
import type { FaultFamily } from "./fault-family.js";
import { updateByHistory } from "./update-by-history.js";

const job = (expected: [FaultFamily, number][], found: [FaultFamily, number][]) => ({
  expected: new Map(expected),
  found: new Map(found),
});

/** Mean and deviation of the posterior by brute force: the prior's density times the Poisson likelihood on a grid. */
function posteriorOnGrid(strength: number, expected: number, found: number) {
  let weight = 0;
  let mean = 0;
  let square = 0;
  for (let factor = 0.0005; factor < 40; factor += 0.001) {
    const logDensity =
      (strength - 1) * Math.log(factor) - strength * factor + found * Math.log(factor) - expected * factor;
    const density = Math.exp(logDensity);
    weight += density;
    mean += density * factor;
    square += density * factor * factor;
  }
  return { mean: mean / weight, deviation: Math.sqrt(square / weight - (mean / weight) ** 2) };
}

describe("the bench's own jobs", () => {
  it("change nothing while they are as expected", () => {
    const [factor] = updateByHistory([job([["dram", 2]], [["dram", 2]])], 4).values();
    expect(factor?.value).toBe(1);
  });

  it("raise a family found more often, and lower one found less often, than expected", () => {
    const jobs = [
      job(
        [
          ["dram", 0.5],
          ["rom", 0.5],
        ],
        [["dram", 1]],
      ),
      job(
        [
          ["dram", 0.5],
          ["rom", 0.5],
        ],
        [["dram", 2]],
      ),
    ];
    const factors = updateByHistory(jobs, 4);
    expect(factors.get("dram")).toMatchObject({ expected: 1, found: 3, value: 7 / 5 });
    expect(factors.get("rom")).toMatchObject({ expected: 1, found: 0, value: 4 / 5 });
  });

  it.each([
    [4, 0.7, 3],
    [2, 5, 1],
    [10, 2, 0],
  ])(
    "agree with the posterior worked out point by point (strength %d, expected %d, found %d)",
    (strength, e, f) => {
      const [factor] = updateByHistory([job([["rom", e]], [["rom", f]])], strength).values();
      const grid = posteriorOnGrid(strength, e, f);
      expect(factor?.value).toBeCloseTo(grid.mean, 4);
      expect(factor?.deviation).toBeCloseTo(grid.deviation, 4);
    },
  );

  it("come to the same one by one or all at once", () => {
    const jobs = [
      job([["eprom", 0.2]], [["eprom", 1]]),
      job([["eprom", 0.3]], []),
      job([["eprom", 0.1]], [["eprom", 1]]),
    ];
    const merged = job([["eprom", 0.6]], [["eprom", 2]]);
    expect(updateByHistory(jobs, 3).get("eprom")?.value).toBeCloseTo(
      updateByHistory([merged], 3).get("eprom")?.value ?? Number.NaN,
      12,
    );
  });

  it("reject impossible numbers", () => {
    expect(() => updateByHistory([], 0)).toThrow(/strength/);
    expect(() => updateByHistory([job([["dram", -1]], [])], 4)).toThrow(/dram/);
  });
});
