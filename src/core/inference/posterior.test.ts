import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Observable } from "./observable.js";
import { addOutcome, marginals, normaliseLogWeights, packMemberSets } from "./posterior.js";

const impossible = Number.NEGATIVE_INFINITY;

describe("normaliseLogWeights", () => {
  it("survives weights that underflow and overflow as plain numbers", () => {
    const far = normaliseLogWeights(Float64Array.of(-5000, -5000 + Math.log(3), impossible));
    expect(far.possible).toBe(true);
    expect([...far.weights]).toEqual([expect.closeTo(0.25, 12), expect.closeTo(0.75, 12), 0]);
    expect(far.logEvidence).toBeCloseTo(-5000 + Math.log(4), 9);
    const near = normaliseLogWeights(Float64Array.of(5000, 5000));
    expect([...near.weights]).toEqual([0.5, 0.5]);
    expect(near.logEvidence).toBeCloseTo(5000 + Math.LN2, 9);
  });

  it("reports that nothing is possible instead of dividing by zero", () => {
    const none = { possible: false, weights: Float64Array.of(0, 0), logEvidence: impossible };
    expect(normaliseLogWeights(Float64Array.of(impossible, impossible))).toEqual(none);
    expect(normaliseLogWeights(new Float64Array())).toEqual({ ...none, weights: new Float64Array() });
  });

  it("clears what was in the array to fill, also when nothing is possible", () => {
    const into = Float64Array.of(7, 7);
    expect(normaliseLogWeights(Float64Array.of(impossible, 3), into).weights).toBe(into);
    expect([...into]).toEqual([0, 1]);
    normaliseLogWeights(Float64Array.of(impossible, impossible), into);
    expect([...into]).toEqual([0, 0]);
  });

  it("may fill the array that it reads", () => {
    const values = Float64Array.of(Math.log(1), Math.log(4));
    normaliseLogWeights(values, values);
    expect([...values]).toEqual([expect.closeTo(0.2, 12), expect.closeTo(0.8, 12)]);
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY])("rejects the log weight %s", (value) => {
    expect(() => normaliseLogWeights(Float64Array.of(0, value))).toThrow(RangeError);
    expect(() => normaliseLogWeights(Float64Array.of(0, value))).toThrow(`log weight 1 is ${value}`);
  });
});

describe("addOutcome", () => {
  const observable: Observable = {
    codes: Uint8Array.of(1, 0, 1, 1),
    codeCount: 2,
    outcomeCount: 3,
    likelihood: Float64Array.of(0.7, 0.2, 0.1, 0, 0.25, 0.75),
  };

  it("reads the row of the hypothesis's code and the column of the outcome", () => {
    const logWeights = new Float64Array(4);
    addOutcome(logWeights, observable, 1);
    expect([...logWeights].map(Math.exp)).toEqual([0.25, 0.2, 0.25, 0.25].map((p) => expect.closeTo(p, 12)));
  });

  it("rules out for good", () => {
    const logWeights = new Float64Array(4);
    addOutcome(logWeights, observable, 0);
    addOutcome(logWeights, observable, 2);
    addOutcome(logWeights, observable, 0);
    expect([...logWeights].map((value) => value > impossible)).toEqual([false, true, false, false]);
    expect(normaliseLogWeights(logWeights).weights[1]).toBe(1);
  });

  it.each([-1, 3, 0.5, Number.NaN])("rejects the outcome %s", (outcome) => {
    const logWeights = new Float64Array(4);
    expect(() => addOutcome(logWeights, observable, outcome)).toThrow(RangeError);
    expect([...logWeights]).toEqual([0, 0, 0, 0]);
  });

  it("rejects an observable about other hypotheses", () => {
    expect(() => addOutcome(new Float64Array(3), observable, 0)).toThrow(
      "observable has 4 codes for 3 hypotheses",
    );
  });
});

/** A small world: priors, and for each of some observables one code a hypothesis, a table and what was seen. */
const worlds = fc
  .record({ hypotheses: fc.integer({ min: 1, max: 6 }), looks: fc.integer({ min: 0, max: 4 }) })
  .chain(({ hypotheses, looks }) =>
    fc.record({
      priors: fc.array(fc.integer({ min: 1, max: 100 }), { minLength: hypotheses, maxLength: hypotheses }),
      looks: fc.array(
        fc.record({
          codes: fc.array(fc.nat(2), { minLength: hypotheses, maxLength: hypotheses }),
          // Three codes, two outcomes, likelihoods in percent; 0 and 100 rule out.
          percents: fc.array(fc.oneof(fc.constantFrom(0, 100), fc.nat(100)), { minLength: 3, maxLength: 3 }),
          outcome: fc.nat(1),
        }),
        { minLength: looks, maxLength: looks },
      ),
    }),
  );

describe("a posterior of several outcomes", () => {
  it("is Bayes' rule on plain products", () => {
    fc.assert(
      fc.property(worlds, ({ priors, looks }) => {
        const total = priors.reduce((sum, p) => sum + p, 0);
        const joint = priors.map((prior, h) =>
          looks.reduce((product, look) => {
            const yes = (look.percents[look.codes[h] ?? 0] ?? 0) / 100;
            return product * (look.outcome === 1 ? yes : 1 - yes);
          }, prior / total),
        );
        const evidence = joint.reduce((sum, p) => sum + p, 0);

        const logWeights = Float64Array.from(priors, (p) => Math.log(p / total));
        for (const look of looks) {
          const likelihood = Float64Array.from(look.percents.flatMap((p) => [1 - p / 100, p / 100]));
          const codes = Uint8Array.from(look.codes);
          addOutcome(logWeights, { codes, codeCount: 3, outcomeCount: 2, likelihood }, look.outcome);
        }
        const posterior = normaliseLogWeights(logWeights);
        expect(posterior.possible).toBe(evidence > 0);
        if (evidence === 0) return;
        expect(Math.exp(posterior.logEvidence)).toBeCloseTo(evidence, 10);
        joint.forEach((p, h) => {
          expect(posterior.weights[h]).toBeCloseTo(p / evidence, 10);
        });
      }),
      { seed: 2, numRuns: 500 },
    );
  });
});

describe("marginals", () => {
  it("sum the weights of the hypotheses a member belongs to", () => {
    const sets = packMemberSets([[], [2], [0, 2], [1]], 3);
    expect([...sets.offsets]).toEqual([0, 0, 1, 3, 4]);
    expect([...marginals(Float64Array.of(0.1, 0.2, 0.3, 0.4), sets)]).toEqual([0.3, 0.4, 0.5]);
  });

  it("agree with asking each hypothesis about each member", () => {
    const cases = fc.array(
      fc.record({ weight: fc.nat(100), members: fc.uniqueArray(fc.nat(4), { maxLength: 5 }) }),
      { maxLength: 8 },
    );
    fc.assert(
      fc.property(cases, (hypotheses) => {
        const weights = Float64Array.from(hypotheses, ({ weight }) => weight);
        const sets = packMemberSets(
          hypotheses.map(({ members }) => members),
          5,
        );
        const expected = [0, 1, 2, 3, 4].map((member) =>
          hypotheses.filter(({ members }) => members.includes(member)).reduce((sum, h) => sum + h.weight, 0),
        );
        expect([...marginals(weights, sets)]).toEqual(expected);
      }),
      { seed: 3, numRuns: 300 },
    );
  });

  it("reject sets for another number of hypotheses, and members that do not exist", () => {
    const sets = packMemberSets([[0], [1]], 2);
    expect(() => marginals(Float64Array.of(1), sets)).toThrow("3 offsets for 1 hypotheses");
    expect(() => packMemberSets([[0], [2]], 2)).toThrow("member 2 of 2");
    expect(() => packMemberSets([[-1]], 2)).toThrow(RangeError);
  });
});
