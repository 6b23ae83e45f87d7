import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { certainOutcomes, checkObservable, deterministicObservable, type Observable } from "./observable.js";

/** Four hypotheses, two codes, three outcomes: no two sizes agree, so that none can be taken for another. */
const meter: Observable = {
  codes: Uint8Array.of(1, 0, 1, 1),
  codeCount: 2,
  outcomeCount: 3,
  likelihood: Float64Array.of(0.7, 0.2, 0.1, 0, 0.25, 0.75),
};

describe("checkObservable", () => {
  it("accepts a proper observable and sums that are off by rounding only", () => {
    expect(() => checkObservable(meter, 4)).not.toThrow();
    const rounded = Float64Array.of(0.1 + 0.2, 0.3, 0.4, 0, 0.25, 0.75);
    expect(() => checkObservable({ ...meter, likelihood: rounded }, 4)).not.toThrow();
  });

  it.each<[string, Partial<Observable>, string]>([
    ["too few codes", { codes: Uint8Array.of(1, 0, 1) }, "observable has 3 codes for 4 hypotheses"],
    ["a code too large", { codes: Uint8Array.of(1, 0, 2, 1) }, "hypothesis 2 has code 2, allowed are 0 to 1"],
    ["a short table", { likelihood: Float64Array.of(1, 0, 0) }, "likelihood has 3 entries, expected 2 x 3"],
    ["no outcomes", { outcomeCount: 0, likelihood: new Float64Array() }, "expected 2 x 0"],
    [
      "rows taken for columns",
      { likelihood: Float64Array.of(0.7, 0, 0.2, 0.25, 0.1, 0.75) },
      "likelihoods under code 0 sum to 0.8999999999999999, expected 1",
    ],
    [
      "a negative likelihood",
      { likelihood: Float64Array.of(0.7, 0.2, 0.1, -0.25, 0.5, 0.75) },
      "likelihood of outcome 0 under code 1 is -0.25",
    ],
    [
      "no number",
      { likelihood: Float64Array.of(0.7, 0.2, Number.NaN, 0, 0.25, 0.75) },
      "likelihood of outcome 2 under code 0 is NaN",
    ],
  ])("rejects %s", (_, wrong, message) => {
    expect(() => checkObservable({ ...meter, ...wrong }, 4)).toThrow(RangeError);
    expect(() => checkObservable({ ...meter, ...wrong }, 4)).toThrow(message);
  });
});

describe("certain outcomes", () => {
  it("are the codes themselves for a deterministic observable", () => {
    const observable = deterministicObservable(Uint8Array.of(2, 0, 1, 2, 2), 3);
    expect(() => checkObservable(observable, 5)).not.toThrow();
    expect(certainOutcomes(observable)).toEqual(Uint8Array.of(0, 1, 2));
  });

  it("may be the same for two codes", () => {
    const likelihood = Float64Array.of(0, 1, 0, 1, 1, 0);
    expect(certainOutcomes({ codes: Uint8Array.of(), codeCount: 3, outcomeCount: 2, likelihood })).toEqual(
      Uint8Array.of(1, 1, 0),
    );
  });

  it("are undefined as soon as one code leaves a choice", () => {
    expect(certainOutcomes(meter)).toBeUndefined();
    const likelihood = Float64Array.of(0, 1, 0.999, 0.001);
    expect(
      certainOutcomes({ codes: Uint8Array.of(0), codeCount: 2, outcomeCount: 2, likelihood }),
    ).toBeUndefined();
  });

  it("agree with looking at each row", () => {
    const rows = fc.array(fc.constantFrom([1, 0, 0], [0, 1, 0], [0, 0, 1], [0.5, 0.5, 0]), {
      minLength: 1,
      maxLength: 5,
    });
    fc.assert(
      fc.property(rows, (table) => {
        const observable = {
          codes: new Uint8Array(),
          codeCount: table.length,
          outcomeCount: 3,
          likelihood: Float64Array.from(table.flat()),
        };
        const found = certainOutcomes(observable);
        if (table.some((row) => Math.max(...row) < 1)) expect(found).toBeUndefined();
        else
          expect([...(found ?? [])]).toEqual(
            table.map(([first, second]) => (first === 1 ? 0 : second === 1 ? 1 : 2)),
          );
      }),
      { seed: 1, numRuns: 200 },
    );
  });
});
