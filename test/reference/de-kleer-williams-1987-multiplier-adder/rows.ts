import { entropyBits } from "../../../src/core/inference/information.js";
import { minimalHittingSets } from "../../../src/core/inference/minimal-sets.js";
import { addOutcome, marginals, normaliseLogWeights } from "../../../src/core/inference/posterior.js";
import { halfLastPlace, type ReferenceRow } from "../support/check.js";
import {
  candidateLogPriors,
  candidateMembers,
  consistencyPosterior,
  diagnoses,
  minimalConflicts,
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

const tolerance = halfLastPlace(6);
const priors = data.components.map(() => data.faultProbability);

/** All rows: sets, the states of the multiplier-adder circuit, the second convention, the chains of inverters. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  return [
    ...setRows(),
    ...data.states.flatMap((state) => stateRows(state)),
    ...uniformRows(),
    ...data.inverterChains.flatMap(chainRows),
  ];
}

function conflictsOf(circuit: ObservedCircuit): number[][] {
  return minimalConflicts(circuit.componentCount, consistencyOf(circuit));
}

function renderDiagnoses(circuit: ObservedCircuit): string {
  return renderSets(namedSets(minimalHittingSets(conflictsOf(circuit)).sets, data.components));
}

function setRows(): ReferenceRow[] {
  const both = multiplierAdder({ F: 10, G: 12 });
  const { weights } = consistencyPosterior(priors, consistencyOf(both));
  const probes = ["X", "Y", "Z"].map((node) => ({ node, change: entropyChangeBits(both, weights, node) }));
  const best = probes.reduce((a, b) => (b.change < a.change ? b : a));
  return [
    {
      quantity: "F=10, G=12: minimal diagnoses",
      published: renderSets(data.minimalDiagnoses),
      ours: renderDiagnoses(both),
      tolerance: 0,
      tag: "published",
    },
    {
      quantity: "F=10, G=12: minimal conflicts",
      published: renderSets(data.minimalConflicts),
      ours: renderSets(namedSets(conflictsOf(both), data.components)),
      tolerance: 0,
      tag: "recomputed",
    },
    {
      quantity: "F=10, G=12: best node to measure",
      published: data.bestProbe,
      ours: best.node,
      tolerance: 0,
      tag: "recomputed",
    },
  ];
}

function stateRows(state: (typeof data.states)[number]): ReferenceRow[] {
  const circuit = multiplierAdder(state.observed);
  const consistent = consistencyOf(circuit);
  const { weights } = consistencyPosterior(priors, consistent);
  const name = describe(state.observed);
  return [
    {
      quantity: `${name}: diagnoses of 32 candidates`,
      published: state.diagnoses,
      ours: diagnoses(circuit.componentCount, consistent).length,
      tolerance: 0,
      tag: "recomputed",
    },
    {
      quantity: `${name}: minimal diagnoses from the conflicts`,
      published: renderSets(state.minimalDiagnoses),
      ours: renderDiagnoses(circuit),
      tolerance: 0,
      tag: "recomputed",
    },
    ...posteriorRows(name, state.posterior, weights, data.components),
    entropyRow(name, state.entropyBits, weights),
    ...changeRows(name, circuit, weights, state.entropyChangeBits ?? {}),
  ];
}

/** F, then G, each with likelihood 1/m where a candidate predicts nothing. */
function uniformRows(): ReferenceRow[] {
  const { observed, posterior, entropyBits: entropy } = data.uniformConvention;
  const logWeights = candidateLogPriors(priors);
  const seen: Record<string, number> = {};
  for (const [node, value] of Object.entries(observed)) {
    const { observable, outcomeOf } = probeObservable(multiplierAdder(seen), node);
    addOutcome(logWeights, observable, outcomeOf(value));
    seen[node] = value;
  }
  const { weights } = normaliseLogWeights(logWeights);
  const name = `${describe(observed)}, likelihood 1/${data.possibleValues} where nothing is predicted`;
  return [...posteriorRows(name, posterior, weights, data.components), entropyRow(name, entropy, weights)];
}

function chainRows(chain: (typeof data.inverterChains)[number]): ReferenceRow[] {
  const count = chain.faultProbabilities.length;
  const circuit = inverterChain(count);
  const { weights } = consistencyPosterior(chain.faultProbabilities, consistencyOf(circuit));
  const nodes = Array.from({ length: count - 1 }, (_, k) => k + 1);
  const changes = nodes.map((node) => entropyChangeBits(circuit, weights, `${node}`));
  const names = Array.from({ length: count }, (_, k) => `${k + 1}`);
  return [
    ...posteriorRows(chain.name, chain.posterior, weights, names),
    ...changeRows(chain.name, circuit, weights, chain.entropyChangeBits),
    {
      quantity: `${chain.name}: best probe is behind inverter`,
      published: chain.bestProbe,
      ours: 1 + changes.indexOf(Math.min(...changes)),
      tolerance: 0,
      tag: "recomputed",
    },
  ];
}

function posteriorRows(
  name: string,
  published: Readonly<Record<string, number>>,
  weights: Float64Array,
  components: readonly string[],
): ReferenceRow[] {
  const ours = marginals(weights, candidateMembers(components.length));
  return Object.entries(published).map(([component, probability]) => ({
    quantity: `${name}: probability that ${component} is faulty`,
    published: probability,
    ours: ours[components.indexOf(component)] ?? Number.NaN,
    tolerance,
    tag: "recomputed",
  }));
}

function entropyRow(name: string, published: number, weights: Float64Array): ReferenceRow {
  return {
    quantity: `${name}: entropy, bits`,
    published,
    ours: entropyBits(weights),
    tolerance,
    tag: "recomputed",
  };
}

function changeRows(
  name: string,
  circuit: ObservedCircuit,
  weights: Float64Array,
  published: Readonly<Record<string, number>>,
): ReferenceRow[] {
  return Object.entries(published).map(([node, change]) => ({
    quantity: `${name}: expected change of entropy by probing ${node}, bits`,
    published: change,
    ours: entropyChangeBits(circuit, weights, node),
    tolerance,
    tag: "recomputed",
  }));
}

function describe(observed: Readonly<Record<string, number>>): string {
  return Object.entries(observed)
    .map(([node, value]) => `${node}=${value}`)
    .join(", ");
}
