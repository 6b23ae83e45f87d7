import type { PairSettler } from "../reason/pair-settler.js";
import { type FaultSpace, faultOfHypothesis, healthHypothesis } from "../reason/space.js";
import type { SolvedCase } from "../solve.js";
import { type Believed, listBelieved } from "./believed.js";
import type { Contradiction, EvidenceWeight } from "./result.js";

/** One observation, or all of one log entry, with what each single hypothesis makes of its parts. */
interface Item {
  readonly entry: number;
  readonly label: string;
  readonly epoch: number;
  /** Log likelihoods [hypotheses], one array for each observation. */
  readonly logs: readonly Float64Array[];
}

/**
 * Says what the log's entries mean: how much each speaks for and against a part, and which fits the rest least. Each
 * entry is judged by what is believed without it; pairs of faults, and faults that a repair took away, count as what
 * they were when the entry was made. A pair is taken to explain an observation as well as the better of its two faults.
 */
export class Explainer {
  private readonly space: FaultSpace;
  private readonly believed: readonly Believed[];
  private readonly items: readonly Item[];
  private readonly entries: readonly Item[];
  /** Weights of what is believed without an item: [believed], made when first asked for. */
  private readonly without = new Map<Item, Float64Array>();

  constructor(solved: SolvedCase, settler: PairSettler) {
    const { space, timeline, singles } = solved;
    this.space = space;
    this.believed = listBelieved(solved, settler);
    this.items = timeline.epochs.flatMap((epoch, e) =>
      epoch.map((evidence, i): Item => {
        const logs = singles.likelihoods.items[e]?.[i] ?? new Float64Array(space.odds.length);
        return { entry: evidence.number, label: evidence.label, epoch: e, logs: [logs] };
      }),
    );
    const labels = new Map(timeline.boundaries.map(({ number, label }) => [number, label]));
    this.entries = byEntry(this.items).map((item) => ({
      ...item,
      label: labels.get(item.entry) ?? item.label,
    }));
  }

  /** What each log entry says for and against a part, heaviest first. */
  evidenceFor(part: number): EvidenceWeight[] {
    const sides = Uint8Array.from(this.believed, ({ parts, hypotheses }) =>
      parts.includes(part) ? Side.inside : hypotheses[0] === healthHypothesis ? Side.neither : Side.outside,
    );
    return this.entries
      .map((item): EvidenceWeight => {
        const bits = Math.log2(
          this.predicted(item, sides, Side.inside) / this.predicted(item, sides, Side.outside),
        );
        return { entry: item.entry, label: item.label, bits, says: inWords(bits) };
      })
      .sort((a, b) => Math.abs(b.bits) - Math.abs(a.bits) || a.entry - b.entry);
  }

  /**
   * The reading that fits the model least. A reading fits if what is believed in the end makes it about as likely as
   * any fault of the model could; one that is only explained as a mistake, below `limit` of that, contradicts the rest.
   */
  contradiction(notInModel: number, limit = 0.12): Contradiction | null {
    let worst: Contradiction | null = null;
    for (const item of this.items) {
      const fit = this.fit(item);
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
  private fit(item: Item): number {
    let believed = 0;
    let total = 0;
    for (const one of this.believed) {
      if (one.parts.length === 0) continue;
      believed += one.weight * this.mean(item, one, (log) => Math.exp(log));
      total += one.weight;
    }
    let best = 1e-12;
    const [logs] = item.logs;
    for (let h = 0; h < this.space.odds.length; h += 1)
      if (faultOfHypothesis(this.space, h) !== undefined) best = Math.max(best, Math.exp(logs?.[h] ?? 0));
    return total > 0 ? believed / total / best : 1;
  }

  /** Probability of an item under the hypotheses of one side, each weighted without that item. */
  private predicted(item: Item, sides: Uint8Array, side: number): number {
    const without = this.weightsWithout(item);
    let sum = 0;
    let total = 0;
    for (const [i, one] of this.believed.entries()) {
      if (sides[i] !== side) continue;
      sum += one.weight;
      total += without[i] as number;
    }
    return total > 0 ? Math.min(1, Math.max(1e-9, sum / total)) : 1;
  }

  private weightsWithout(item: Item): Float64Array {
    const known = this.without.get(item);
    if (known !== undefined) return known;
    const made = Float64Array.from(
      this.believed,
      (one) => one.weight * this.mean(item, one, (log) => Math.exp(-log)),
    );
    this.without.set(item, made);
    return made;
  }

  /** Mean of a function of an item's log likelihood over which of a hypothesis' faults were there at the time. */
  private mean(item: Item, one: Believed, of: (log: number) => number): number {
    const shares = one.presence?.[item.epoch];
    const all = 2 ** one.hypotheses.length - 1;
    if (shares === undefined) return of(logOf(item, one, all));
    let sum = 0;
    for (let bits = 0; bits <= all; bits += 1) {
      const share = shares[bits] as number;
      if (share > 0) sum += share * of(logOf(item, one, bits));
    }
    return sum;
  }
}

/** Where a hypothesis stands to a part: with it, against it, or nothing wrong at all. */
const Side = { outside: 0, inside: 1, neither: 2 } as const;

/** Log likelihood of an item with those faults of a hypothesis there whose bits are set. */
function logOf(item: Item, one: Believed, bits: number): number {
  let sum = 0;
  for (const logs of item.logs) {
    const [first = healthHypothesis, second] = one.hypotheses;
    let log = Number.NEGATIVE_INFINITY;
    if (bits & 1) log = logs[first] as number;
    if (bits & 2 && second !== undefined) log = Math.max(log, logs[second] as number);
    sum += bits === 0 ? (logs[healthHypothesis] as number) : log;
  }
  return sum;
}

/** Joins the observations of one entry: a swap after which several symptoms were seen again is one piece of evidence. */
function byEntry(items: readonly Item[]): Item[] {
  const joined = new Map<number, Item>();
  for (const item of items) {
    const known = joined.get(item.entry);
    joined.set(item.entry, known === undefined ? item : { ...known, logs: [...known.logs, ...item.logs] });
  }
  return [...joined.values()];
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
