import type { ICombinations, INetwork } from "bayesjs";
import { data, type Evidence, findings } from "./network.js";

/** The network for the package bayesjs, written from the same data but node by node, without hypotheses. */
export function bayesjsNetwork(): INetwork {
  const state = (yes: boolean): string => (yes ? "yes" : "no");
  const split = (p: number) => ({ yes: p, no: 1 - p });
  // biome-ignore lint/suspicious/noThenProperty: the package gives the key its name; nobody awaits these objects.
  const row = (when: ICombinations, p: number) => ({ when, then: split(p) });
  const both = [true, false];
  const root = (id: string, p: number) => ({ id, states: ["yes", "no"], parents: [], cpt: split(p) });
  const child = (id: string, parent: string, ifYes: number, ifNo: number) => ({
    id,
    states: ["yes", "no"],
    parents: [parent],
    cpt: both.map((yes) => row({ [parent]: state(yes) }, yes ? ifYes : ifNo)),
  });
  const withTwo = (id: string, first: string, second: string, p: (a: boolean, b: boolean) => number) => ({
    id,
    states: ["yes", "no"],
    parents: [first, second],
    cpt: both.flatMap((a) => both.map((b) => row({ [first]: state(a), [second]: state(b) }, p(a, b)))),
  });
  return {
    asia: root("asia", data.asia),
    smoke: root("smoke", data.smoke),
    tub: child("tub", "asia", data.tub.asia, data.tub["no asia"]),
    lung: child("lung", "smoke", data.lung.smoke, data.lung["no smoke"]),
    bronc: child("bronc", "smoke", data.bronc.smoke, data.bronc["no smoke"]),
    either: withTwo("either", "tub", "lung", (tub, lung) => Number(tub || lung)),
    xray: child("xray", "either", data.xray.either, data.xray.neither),
    dysp: withTwo("dysp", "bronc", "either", (bronc, either) =>
      bronc
        ? data.dysp[either ? "either and bronc" : "bronc alone"]
        : data.dysp[either ? "either alone" : "none"],
    ),
  };
}

/** Evidence in the words of bayesjs. */
export function bayesjsEvidence(evidence: Evidence): ICombinations {
  const result: ICombinations = {};
  for (const finding of findings) {
    const outcome = evidence[finding];
    if (outcome !== undefined) result[finding] = outcome === 1 ? "yes" : "no";
  }
  return result;
}
