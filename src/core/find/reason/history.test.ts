import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { weighHistoriesNaively } from "../../../../test/naive/history.naive.js";
import type { Boundary, Timeline } from "../evidence/timeline.js";
import type { Fault } from "../faults/fault.js";
import { presenceByEpoch, weighHistories } from "./history.js";

const faultAt = (part: number, site: Fault["site"] = "part"): Fault => ({
  id: `${part}:${site}`,
  part,
  site,
  mode: "no-output",
  manifestation: "permanent",
  detail: "",
  odds: 1,
  effect: 0,
  signs: {},
});

function timelineOf(boundaries: readonly Boundary[]): Timeline {
  return {
    epochs: Array.from({ length: boundaries.length + 1 }, () => []),
    boundaries,
    supplyGate: "open",
    gateImplied: false,
    problems: [],
  };
}

const boundaryAt = (part: number, removes: number, sites: Boundary["sites"] = ["part"]): Boundary => ({
  number: 1,
  label: "",
  part,
  sites,
  removes,
});

describe("the histories of a fault", () => {
  const evenly = (): number => 0;

  it("are one while nothing is changed", () => {
    const { logWeight, present } = weighHistories(timelineOf([]), [faultAt(0)], [0.2], [[]], () => -1);
    expect(Math.exp(logWeight)).toBeCloseTo(0.2 * Math.exp(-1), 12);
    expect(present).toEqual([1]);
  });

  it("split at a repair that fits and not at another", () => {
    const afterwards = (boundary: Boundary) =>
      weighHistories(timelineOf([boundary]), [faultAt(3)], [0.2], [[]], evenly).present[0];
    expect(afterwards(boundaryAt(3, 0.97))).toBeCloseTo(0.03, 12);
    expect(afterwards(boundaryAt(4, 0.97))).toBe(1);
    expect(afterwards(boundaryAt(3, 0.97, ["socket"]))).toBe(1);
  });

  it("do not begin before the event that made the fault", () => {
    const { logWeight } = weighHistories(
      timelineOf([boundaryAt(9, 0)]),
      [faultAt(3)],
      [0],
      [[{ epoch: 1, odds: 0.5 }]],
      (epoch, present) => (epoch === 0 && present === 1 ? Number.NEGATIVE_INFINITY : Math.log(0.5)),
    );
    expect(Math.exp(logWeight)).toBeCloseTo(0.5 * 0.5 * 0.5, 12);
  });

  it("weigh nothing if nothing can have made the fault", () => {
    const { logWeight, present } = weighHistories(timelineOf([]), [faultAt(3)], [0], [[]], evenly);
    expect(logWeight).toBe(Number.NEGATIVE_INFINITY);
    expect(present).toEqual([0]);
  });

  it("sum to what listing every one of them gives, for one fault and for two", () => {
    const site = fc.constantFrom<Fault["site"]>("part", "socket", "track", "bridge");
    const boundary = fc.record({
      part: fc.nat(2),
      sites: fc.uniqueArray(site, { maxLength: 3 }),
      removes: fc.double({ min: 0, max: 1, noNaN: true }),
    });
    const odds = fc.double({ min: 0.001, max: 2, noNaN: true });
    const arising = fc.array(fc.record({ epoch: fc.integer({ min: 1, max: 5 }), odds }), { maxLength: 3 });
    const fault = fc.record({ part: fc.nat(2), site, startOdds: odds, arising });
    const logs = fc.array(fc.double({ min: -30, max: 0, noNaN: true }), { minLength: 24, maxLength: 24 });
    fc.assert(
      fc.property(
        fc.array(boundary, { maxLength: 5 }),
        fc.array(fault, { minLength: 1, maxLength: 2 }),
        logs,
        (changes, drawn, table) => {
          const timeline = timelineOf(changes.map((one) => ({ number: 1, label: "", ...one })));
          const faults = drawn.map((one) => faultAt(one.part, one.site));
          const start = drawn.map((one) => one.startOdds);
          const made = drawn.map((one) => one.arising);
          const logLikelihood = (epoch: number, present: number): number => table[epoch * 4 + present] ?? 0;
          const fast = weighHistories(timeline, faults, start, made, logLikelihood);
          const slow = weighHistoriesNaively(
            timeline.epochs.length,
            timeline.boundaries,
            faults,
            start,
            made,
            logLikelihood,
          );
          expect(fast.logWeight).toBeCloseTo(Math.log(slow.weight), 9);
          for (const f of faults.keys())
            expect(fast.present[f]).toBeCloseTo((slow.presentWeight[f] ?? 0) / slow.weight, 9);
          const presence = presenceByEpoch(timeline, faults, start, made, logLikelihood);
          expect(presence).toHaveLength(slow.presence.length);
          for (const [epoch, weights] of slow.presence.entries())
            for (const [bits, weight] of weights.entries())
              expect(presence[epoch]?.[bits]).toBeCloseTo(weight / slow.weight, 9);
        },
      ),
      { seed: 4116, numRuns: 400 },
    );
  });
});
