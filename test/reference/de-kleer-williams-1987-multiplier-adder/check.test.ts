import { describe, expect, it } from "vitest";
import { minimalHittingSets } from "../../../src/core/inference/minimal-sets.js";
import { expectRows } from "../support/expect-rows.js";
import {
  allCandidates,
  consistencyPosterior,
  isFaulty,
  minimalConflicts,
  minimalDiagnoses,
  namedSets,
  renderSets,
} from "../support/weak-fault-model.js";
import {
  consistencyOf,
  data,
  entropyChangeBits,
  inverterChain,
  multiplierAdder,
  type ObservedCircuit,
  probeObservable,
} from "./circuit.js";
import { referenceRows } from "./rows.js";

const circuits: [string, ObservedCircuit][] = [
  ...data.states.map((state): [string, ObservedCircuit] => [
    JSON.stringify(state.observed),
    multiplierAdder(state.observed),
  ]),
  ["a chain of inverters", inverterChain(6)],
];

describe("the three multipliers and two adders", () => {
  expectRows(referenceRows);

  it("takes {M2} for a diagnosis from F alone, and rejects it once G is used", () => {
    const onlyM2 = 1 << data.components.indexOf("M2");
    const fromFAlone = multiplierAdder({ F: 10 });
    expect(consistencyOf(fromFAlone)(onlyM2)).toBe(true);
    const { sets } = minimalHittingSets(minimalConflicts(5, consistencyOf(fromFAlone)));
    expect(renderSets(namedSets(sets, data.components))).toBe(renderSets(data.minimalDiagnosesFromFAlone));

    const both = multiplierAdder({ F: 10, G: 12 });
    expect(consistencyOf(both)(onlyM2)).toBe(false);
    const diagnoses = minimalHittingSets(minimalConflicts(5, consistencyOf(both))).sets;
    expect(namedSets(diagnoses, data.components)).not.toContainEqual(["M2"]);
  });

  it.each(circuits)("hitting the conflicts is the same as being consistent: %s", (_, circuit) => {
    const count = circuit.componentCount;
    const consistent = consistencyOf(circuit);
    const conflicts = minimalConflicts(count, consistent);
    const hitting = minimalHittingSets(conflicts);
    expect(hitting.complete).toBe(true);
    expect(renderSets(hitting.sets.map((set) => set.map(String)))).toBe(
      renderSets(minimalDiagnoses(count, consistent).map((set) => set.map(String))),
    );
    for (const candidate of allCandidates(count)) {
      const hitsAll = conflicts.every((conflict) => conflict.some((k) => isFaulty(candidate, k)));
      expect(consistent(candidate)).toBe(hitsAll);
    }
  });

  // The printed form of the measure, with natural logarithms turned into bits, against mutual information.
  it.each(circuits)("the article's formula for a probe is our expected information: %s", (_, circuit) => {
    const priors = Array.from({ length: circuit.componentCount }, () => data.faultProbability);
    const { weights } = consistencyPosterior(priors, consistencyOf(circuit));
    const m = circuit.possibleValues;
    const plogp = (p: number): number => (p > 0 ? p * Math.log(p) : 0);
    const nodes = [...new Set(circuit.rules.map((rule) => rule.to))].filter(
      (node) => !circuit.known.has(node),
    );
    expect(nodes.length).toBeGreaterThan(0);
    for (const node of nodes) {
      const { codes, codeCount } = probeObservable(circuit, node).observable;
      const masses = new Array<number>(codeCount).fill(0);
      codes.forEach((code, c) => {
        masses[code] = (masses[code] ?? 0) + (weights[c] ?? 0);
      });
      const unpredicted = masses.pop() ?? 0;
      // Values that only contradicted candidates predict count as unpredicted by all.
      const predicted = masses.filter((mass) => mass > 0);
      const change =
        predicted.reduce((sum, mass) => sum + plogp(mass + unpredicted / m), 0) +
        plogp(unpredicted) -
        predicted.length * plogp(unpredicted / m);
      expect(change / Math.LN2).toBeCloseTo(entropyChangeBits(circuit, weights, node), 10);
    }
  });
});
