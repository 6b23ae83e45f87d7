import type { Timeline } from "../evidence/timeline.js";
import type { Beliefs } from "../reason/beliefs.js";
import type { SinglePosterior } from "../reason/posterior.js";
import {
  type FaultSpace,
  faultOfHypothesis,
  healthHypothesis,
} from "../reason/space.js";
import type { Contradiction, EvidenceWeight } from "./result.js";

/** Average likelihoods of each log item under a set of hypotheses, weighted by what all other items say of them. */
export class Explainer {
  private readonly space: FaultSpace;
  private readonly items: readonly {
    readonly entry: number;
    readonly label: string;
    readonly logs: Float64Array;
  }[];
  private readonly weights: Float64Array;

  /** The weights are those of single faults; pairs lean on the same likelihoods. */
  constructor(space: FaultSpace, timeline: Timeline, singles: SinglePosterior, beliefs: Beliefs) {
    this.space = space;
    this.items = timeline.epochs.flatMap((epoch, e) =>
      epoch.map((evidence, i) => ({
        entry: evidence.number,
        label: evidence.label,
        logs: singles.likelihoods.items[e]?.[i] ?? new Float64Array(space.odds.length),
      })),
    );
    const weights = beliefs.single.slice();
    for (let h = 0; h < weights.length; h += 1) {
      if (faultOfHypothesis(space, h) !== undefined)
        weights[h] = Math.max(weights[h] as number, beliefs.faultNow[h] as number);
    }
    this.weights = weights;
  }

  /** What each log entry says for and against a part, heaviest first; items of one entry are added up. */
  evidenceFor(part: number): EvidenceWeight[] {
    const byEntry = new Map<number, { label: string; bits: number }>();
    for (const item of this.items) {
      const inside = this.average(item.logs, (h) => faultOfHypothesis(this.space, h)?.part === part);
      const outside = this.average(
        item.logs,
        (h) => h !== healthHypothesis && faultOfHypothesis(this.space, h)?.part !== part,
      );
      const bits = Math.log2(inside / outside);
      const known = byEntry.get(item.entry);
      byEntry.set(item.entry, { label: known?.label ?? item.label, bits: (known?.bits ?? 0) + bits });
    }
    return [...byEntry]
      .map(([entry, { label, bits }]) => ({ entry, label, bits, says: inWords(bits) }))
      .sort((a, b) => Math.abs(b.bits) - Math.abs(a.bits) || a.entry - b.entry);
  }

  /**
   * The reading that fits the model least. A reading fits if what is believed in the end makes it about as likely as
   * any fault of the model could; one that is only explained as a mistake, below `limit` of that, contradicts the rest.
   */
  contradiction(notInModel: number, limit = 0.12): Contradiction | null {
    let worst: Contradiction | null = null;
    for (const item of this.items) {
      const fit = this.fit(item.logs);
      if (worst !== null && fit >= worst.fit) continue;
      worst = { entry: item.entry, label: item.label, says: "", fit };
    }
    if (worst === null || (worst.fit >= limit && notInModel < 0.25)) return null;
    const percent = (worst.fit * 100).toPrecision(2);
    return {
      ...worst,
      says: `What was logged does not fit together: entry ${worst.entry} (${worst.label}) is only ${percent} % as likely as some fault could make it, if everything else is right. Take that reading again before trusting this ranking.`,
    };
  }

  /** Likelihood of an item under what is believed, as a share of the best any fault of the model gives it. */
  private fit(logs: Float64Array): number {
    let believed = 0;
    let total = 0;
    let best = 1e-12;
    for (let h = 0; h < this.weights.length; h += 1) {
      if (faultOfHypothesis(this.space, h) === undefined) continue;
      const likelihood = Math.exp(logs[h] as number);
      best = Math.max(best, likelihood);
      believed += (this.weights[h] as number) * likelihood;
      total += this.weights[h] as number;
    }
    return total > 0 ? believed / total / best : 1;
  }

  /** Mean likelihood of an item under the chosen hypotheses, each weighted without that item. */
  private average(logs: Float64Array, chosen: (hypothesis: number) => boolean): number {
    let sum = 0;
    let total = 0;
    for (let h = 0; h < this.weights.length; h += 1) {
      const weight = this.weights[h] as number;
      if (weight < 1e-12 || !chosen(h)) continue;
      const likelihood = Math.exp(logs[h] as number);
      sum += weight;
      total += weight / likelihood;
    }
    return total > 0 ? Math.min(1, Math.max(1e-9, sum / total)) : 1;
  }
}

/** A weight of evidence in plain words. */
export function inWords(bits: number): string {
  const size = Math.abs(bits);
  const strength = size < 0.2 ? "says nothing" : size < 1 ? "weakly" : size < 3 ? "clearly" : "strongly";
  if (size < 0.2) return strength;
  const times = 2 ** size;
  const factor = times >= 10 ? Math.round(times) : Number(times.toPrecision(2));
  return `speaks ${strength} ${bits > 0 ? "for" : "against"} it (${factor} times as likely ${bits > 0 ? "with" : "without"} it)`;
}
