import bayesjs from "bayesjs";
import { describe, expect, it } from "vitest";
import { checkObservable } from "../../../src/core/inference/observable.js";
import { marginals } from "../../../src/core/inference/posterior.js";
import { expectRows } from "../support/expect-rows.js";
import { bayesjsEvidence, bayesjsNetwork } from "./bayesjs-network.js";
import { type Evidence, memberSets, members, observables, posteriorAfter, predict } from "./network.js";
import { referenceRows } from "./rows.js";

const outcomes = [undefined, 0, 1];

/** Every combination of unseen, no and yes of the four findings. */
const allEvidence: Evidence[] = outcomes.flatMap((asia) =>
  outcomes.flatMap((smoke) =>
    outcomes.flatMap((xray) => outcomes.map((dysp) => ({ asia, smoke, xray, dysp }))),
  ),
);

describe("the chest clinic", () => {
  expectRows(referenceRows);

  it("is made of proper observables", () => {
    for (const observable of Object.values(observables)) {
      expect(() => checkObservable(observable, 32)).not.toThrow();
    }
  });

  it.each(["enumeration", "variableElimination", "junctionTree"] as const)(
    "agrees with bayesjs, method %s, for all 81 sets of evidence",
    (method) => {
      const network = bayesjsNetwork();
      const { infer } = bayesjs.inferences[method];
      expect(allEvidence).toHaveLength(81);
      for (const evidence of allEvidence) {
        const given = bayesjsEvidence(evidence);
        const ours = marginals(posteriorAfter(evidence).weights, memberSets);
        for (const node of ["tub", "lung", "bronc", "either"] as const) {
          expect(ours[members.indexOf(node)]).toBeCloseTo(infer(network, { [node]: "yes" }, given), 9);
        }
        for (const finding of ["xray", "dysp"] as const) {
          if (evidence[finding] !== undefined) continue;
          expect(predict(finding, evidence)).toBeCloseTo(infer(network, { [finding]: "yes" }, given), 9);
        }
      }
    },
  );
});
