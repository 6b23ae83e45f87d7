import {
  entropyBits,
  expectedInformationBits,
  rowEntropiesBits,
} from "../../../src/core/inference/information.js";
import type { Observable } from "../../../src/core/inference/observable.js";
import { addOutcome, marginals, normaliseLogWeights } from "../../../src/core/inference/posterior.js";
import { halfLastPlace, type ReferenceRow } from "../support/check.js";
import {
  data,
  type Evidence,
  type Finding,
  findings,
  memberSets,
  members,
  observables,
  posteriorAfter,
  predict,
} from "./network.js";

const memberNames: readonly string[] = members;

/** Every value of `data.json`. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  return [...data.cases.flatMap(caseRows), ...explanationRows(), ...informationRows()];
}

function caseRows(row: (typeof data.cases)[number]): ReferenceRow[] {
  const name = describe(row.evidence);
  const { weights, logEvidence } = posteriorAfter(row.evidence);
  const ofMembers = marginals(weights, memberSets);
  return [
    compare(`P(${name})`, row.probability, Math.exp(logEvidence)),
    ...Object.entries(row.posterior).map(([node, published]) => {
      const ours =
        node === "xray" || node === "dysp"
          ? predict(node, row.evidence)
          : (ofMembers[memberNames.indexOf(node)] ?? Number.NaN);
      return compare(`P(${node} | ${name})`, published, ours);
    }),
  ];
}

/** The likeliest state of all nodes: the likeliest hypothesis together with the likelier outcome of the X-ray. */
function explanationRows(): ReferenceRow[] {
  const { evidence, joint, posterior } = data.bestExplanation;
  const before = posteriorAfter(evidence).logEvidence;
  let best = 0;
  for (const xray of [0, 1]) {
    const { weights, logEvidence } = posteriorAfter({ ...evidence, xray });
    best = Math.max(best, Math.max(...weights) * Math.exp(logEvidence));
  }
  const name = describe(evidence);
  return [
    compare(`likeliest state of all nodes with ${name}: joint probability`, joint, best),
    compare(`likeliest state of all nodes given ${name}`, posterior, best / Math.exp(before)),
  ];
}

function informationRows(): ReferenceRow[] {
  const { weights } = posteriorAfter({});
  const noise = (finding: Finding): number => {
    const ofCode = rowEntropiesBits(observables[finding]);
    return weights.reduce((sum, w, h) => sum + w * (ofCode[observables[finding].codes[h] ?? 0] ?? 0), 0);
  };
  const joint = entropyBits(weights) + noise("xray") + noise("dysp");
  const { evidence, ...published } = data.informationAboutLungBits;
  return [
    compare("entropy of all eight nodes, bits", data.jointEntropyBits, joint),
    ...(["xray", "smoke", "asia"] as const).map((finding) =>
      compare(
        `information of ${finding} about lung given ${describe(evidence)}, bits`,
        published[finding],
        informationAboutLung(finding, evidence),
      ),
    ),
  ];
}

/** Two hypotheses, lung cancer or not; the finding's likelihood under each is averaged over all the rest. */
function informationAboutLung(finding: Finding, evidence: Evidence): number {
  const { weights } = posteriorAfter(evidence);
  const lung = marginals(weights, memberSets)[members.indexOf("lung")] ?? 0;
  const logWeights = weights.map(Math.log);
  addOutcome(logWeights, observables[finding], 1);
  const seen = normaliseLogWeights(logWeights);
  const yes = Math.exp(seen.logEvidence);
  const lungAndYes = yes * (marginals(seen.weights, memberSets)[members.indexOf("lung")] ?? 0);
  const ifNot = (yes - lungAndYes) / (1 - lung);
  const ifLung = lungAndYes / lung;
  const observable: Observable = {
    codes: Uint8Array.of(0, 1),
    codeCount: 2,
    outcomeCount: 2,
    likelihood: Float64Array.of(1 - ifNot, ifNot, 1 - ifLung, ifLung),
  };
  return expectedInformationBits(Float64Array.of(1 - lung, lung), observable);
}

function compare(quantity: string, printed: string, ours: number): ReferenceRow {
  const digits = printed.replace("*", "");
  const decimals = digits.split(".")[1]?.length ?? 0;
  return {
    quantity,
    published: Number(digits),
    ours,
    // Values printed with fewer than six decimals are exact.
    tolerance: decimals < 6 ? 1e-12 : halfLastPlace(decimals),
    tag: digits === printed ? "recomputed" : "published",
  };
}

function describe(evidence: Evidence): string {
  const seen = findings.flatMap((finding) => {
    const outcome = evidence[finding];
    return outcome === undefined ? [] : `${finding}=${outcome === 1 ? "yes" : "no"}`;
  });
  return seen.length === 0 ? "no evidence" : seen.join(", ");
}
