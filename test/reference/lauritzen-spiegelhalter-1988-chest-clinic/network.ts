import { readFileSync } from "node:fs";
import { z } from "zod";
import type { Observable } from "../../../src/core/inference/observable.js";
import {
  addOutcome,
  type MemberSets,
  normaliseLogWeights,
  type Posterior,
  packMemberSets,
} from "../../../src/core/inference/posterior.js";

const valuesSchema = z.record(z.string(), z.string());
const evidenceSchema = z.record(z.enum(["asia", "smoke", "xray", "dysp"]), z.int().min(0).max(1).optional());

const dataSchema = z.strictObject({
  asia: z.number(),
  smoke: z.number(),
  tub: z.strictObject({ asia: z.number(), "no asia": z.number() }),
  lung: z.strictObject({ smoke: z.number(), "no smoke": z.number() }),
  bronc: z.strictObject({ smoke: z.number(), "no smoke": z.number() }),
  xray: z.strictObject({ either: z.number(), neither: z.number() }),
  dysp: z.strictObject({
    "either and bronc": z.number(),
    "bronc alone": z.number(),
    "either alone": z.number(),
    none: z.number(),
  }),
  cases: z.array(
    z.strictObject({ evidence: evidenceSchema, probability: z.string(), posterior: valuesSchema }),
  ),
  bestExplanation: z.strictObject({ evidence: evidenceSchema, joint: z.string(), posterior: z.string() }),
  jointEntropyBits: z.string(),
  informationAboutLungBits: z.strictObject({
    evidence: evidenceSchema,
    xray: z.string(),
    smoke: z.string(),
    asia: z.string(),
  }),
});

/** The network and the values of this folder; a star marks what is printed in a public source. */
export const data = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** What can be observed directly; 1 is yes. */
export type Finding = "asia" | "smoke" | "xray" | "dysp";

/** Outcomes seen, 0 no, 1 yes. */
export type Evidence = { readonly [finding in Finding]?: number | undefined };

/** All findings. */
export const findings: readonly Finding[] = ["asia", "smoke", "xray", "dysp"];

/** The nodes whose truth a hypothesis settles. */
export const members = ["asia", "smoke", "tub", "lung", "bronc", "either"] as const;

const hypotheses = Array.from({ length: 32 }, (_, h) => {
  const bit = (k: number): boolean => ((h >> k) & 1) === 1;
  const tub = bit(2);
  const lung = bit(3);
  return { asia: bit(0), smoke: bit(1), tub, lung, bronc: bit(4), either: tub || lung };
});

/** [32 hypotheses]: which of `members` hold. */
export const memberSets: MemberSets = packMemberSets(
  hypotheses.map((h) => members.flatMap((member, index) => (h[member] ? [index] : []))),
  members.length,
);

/** [32 hypotheses]: logarithms of the prior. */
function logPriors(): Float64Array {
  const log = (yes: boolean, p: number): number => Math.log(yes ? p : 1 - p);
  return Float64Array.from(
    hypotheses,
    (h) =>
      log(h.asia, data.asia) +
      log(h.smoke, data.smoke) +
      log(h.tub, data.tub[h.asia ? "asia" : "no asia"]) +
      log(h.lung, data.lung[h.smoke ? "smoke" : "no smoke"]) +
      log(h.bronc, data.bronc[h.smoke ? "smoke" : "no smoke"]),
  );
}

/** Each finding as an observable with the outcomes no and yes. */
export const observables: Readonly<Record<Finding, Observable>> = {
  asia: yesNo(
    hypotheses.map((h) => Number(h.asia)),
    [0, 1],
  ),
  smoke: yesNo(
    hypotheses.map((h) => Number(h.smoke)),
    [0, 1],
  ),
  xray: yesNo(
    hypotheses.map((h) => Number(h.either)),
    [data.xray.neither, data.xray.either],
  ),
  dysp: yesNo(
    hypotheses.map((h) => Number(h.either) + 2 * Number(h.bronc)),
    [data.dysp.none, data.dysp["either alone"], data.dysp["bronc alone"], data.dysp["either and bronc"]],
  ),
};

function yesNo(codes: readonly number[], yes: readonly number[]): Observable {
  const likelihood = Float64Array.from(yes.flatMap((p) => [1 - p, p]));
  return { codes: Uint8Array.from(codes), codeCount: yes.length, outcomeCount: 2, likelihood };
}

/** Posterior of the 32 hypotheses after the evidence. */
export function posteriorAfter(evidence: Evidence): Posterior {
  const logWeights = logPriors();
  for (const finding of findings) {
    const outcome = evidence[finding];
    if (outcome !== undefined) addOutcome(logWeights, observables[finding], outcome);
  }
  return normaliseLogWeights(logWeights);
}

/** P(finding = yes | evidence), from the growth of the log evidence. */
export function predict(finding: Finding, evidence: Evidence): number {
  const after = posteriorAfter({ ...evidence, [finding]: 1 });
  return Math.exp(after.logEvidence - posteriorAfter(evidence).logEvidence);
}
