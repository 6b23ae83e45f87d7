import { entropyBits } from "../../../src/core/inference/information.js";
import { deterministicObservable } from "../../../src/core/inference/observable.js";
import { addOutcome, normaliseLogWeights } from "../../../src/core/inference/posterior.js";
import { chooseProbe } from "../../../src/core/inference/probe-choice.js";
import { packProbes } from "../../../src/core/inference/probe-table.js";
import { planTests } from "../../../src/core/inference/test-plan.js";
import { allVectors, c17, vectorCount } from "./c17.js";

/** Means over all cases: a net stuck at a value, and a vector that makes an output wrong. */
export interface ProbingMeans {
  readonly cases: number;
  readonly meanEntropyBits: number;
  /** Expected probes of the cheapest plan. */
  readonly meanProbes: number;
  /** Expected probes of the plan of the probe chooser. */
  readonly meanChosenProbes: number;
}

/** Goes through all nets, values and vectors; posterior, entropy and plan come from the library. */
export function c17Probing(): ProbingMeans {
  const good = allVectors(() => undefined);
  const hypotheses = c17.names.flatMap((_, net) => [0, 1].map((value) => ({ net, value })));
  const rows = hypotheses.map(({ net, value }) => allVectors((simulator) => simulator.stickNet(net, value)));
  let cases = 0;
  let entropy = 0;
  let probes = 0;
  let chosen = 0;
  for (let vector = 0; vector < vectorCount; vector += 1) {
    const valueAt = (values: Int32Array | undefined, net: number): number =>
      ((values?.[net] ?? 0) >>> vector) & 1;
    const codes = (net: number): Uint8Array => Uint8Array.from(rows, (row) => valueAt(row, net));
    for (const truth of rows) {
      if (c17.outputs.every((net) => valueAt(truth, net) === valueAt(good, net))) continue;
      const logWeights = new Float64Array(hypotheses.length);
      for (const net of c17.outputs) {
        addOutcome(logWeights, deterministicObservable(codes(net), 2), valueAt(truth, net));
      }
      const { weights } = normaliseLogWeights(logWeights);
      const suspects = rows.filter((_, h) => (weights[h] ?? 0) > 0);
      const suspectWeights = weights.filter((weight) => weight > 0);
      const outcomes = c17.names.map((_, net) => suspects.map((row) => valueAt(row, net)));
      const plan = planTests(
        suspectWeights,
        outcomes.map((row) => ({ cost: 1, outcomes: row })),
      );
      if (plan.kind !== "optimal") throw new RangeError("a case of c17 is too large to plan");
      cases += 1;
      entropy += entropyBits(weights);
      probes += plan.expectedCost;
      chosen += chooseProbe(suspectWeights, packProbes(outcomes, suspects.length))?.expectedProbes ?? 0;
    }
  }
  return {
    cases,
    meanEntropyBits: entropy / cases,
    meanProbes: probes / cases,
    meanChosenProbes: chosen / cases,
  };
}
