import type { Boundary } from "../../src/core/find/evidence/timeline.js";
import type { Fault } from "../../src/core/find/faults/fault.js";
import type { Arising } from "../../src/core/find/reason/history.js";

/** One life of a fault: there from the start of epoch `from` up to the end of epoch `to` - 1. */
interface Life {
  readonly from: number;
  readonly to: number;
  readonly weight: number;
}

/** All lives of one fault, each listed, with the product of its odds and chances. */
function livesOf(
  epochCount: number,
  boundaries: readonly Boundary[],
  fault: Fault,
  startOdds: number,
  arising: readonly Arising[],
): Life[] {
  const removedAt = (epoch: number): number => {
    const boundary = boundaries[epoch - 1];
    const fits = boundary?.part === fault.part && boundary.sites.includes(fault.site);
    return fits ? (boundary?.removes ?? 0) : 0;
  };
  const lives: Life[] = [];
  for (let from = 0; from < epochCount; from += 1) {
    const odds =
      from === 0
        ? startOdds
        : arising.filter(({ epoch }) => epoch === from).reduce((sum, one) => sum + one.odds, 0);
    let survived = odds;
    for (let to = from + 1; to <= epochCount; to += 1) {
      if (to === epochCount) lives.push({ from, to, weight: survived });
      else {
        lives.push({ from, to, weight: survived * removedAt(to) });
        survived *= 1 - removedAt(to);
      }
    }
  }
  return lives;
}

/**
 * The sum of {@link weighHistories} by listing every combination of lives: exponential in the number of faults, for
 * tests. Returns plain weights.
 */
export function weighHistoriesNaively(
  epochCount: number,
  boundaries: readonly Boundary[],
  faults: readonly Fault[],
  startOdds: readonly number[],
  arising: readonly (readonly Arising[])[],
  logLikelihood: (epoch: number, present: number) => number,
): {
  readonly weight: number;
  readonly presentWeight: readonly number[];
  /** By epoch the weight of each bit set of faults that are there. */
  readonly presence: readonly (readonly number[])[];
} {
  const lives = faults.map((fault, f) =>
    livesOf(epochCount, boundaries, fault, startOdds[f] ?? 0, arising[f] ?? []),
  );
  let combinations: Life[][] = [[]];
  for (const list of lives)
    combinations = combinations.flatMap((chosen) => list.map((life) => [...chosen, life]));
  let weight = 0;
  const presentWeight = faults.map(() => 0);
  const presence = Array.from({ length: epochCount }, () => new Array<number>(2 ** faults.length).fill(0));
  for (const chosen of combinations) {
    let product = chosen.reduce((sum, life) => sum * life.weight, 1);
    const presentIn = (epoch: number): number =>
      chosen.reduce((bits, life, f) => bits | (life.from <= epoch && epoch < life.to ? 1 << f : 0), 0);
    for (let epoch = 0; epoch < epochCount; epoch += 1)
      product *= Math.exp(logLikelihood(epoch, presentIn(epoch)));
    weight += product;
    for (const [epoch, sums] of presence.entries()) {
      const present = presentIn(epoch);
      sums[present] = (sums[present] ?? 0) + product;
    }
    for (const [f, life] of chosen.entries())
      if (life.to === epochCount) presentWeight[f] = (presentWeight[f] ?? 0) + product;
  }
  return { weight, presentWeight, presence };
}
