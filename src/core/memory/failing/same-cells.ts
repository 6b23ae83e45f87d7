import { BitCounter } from "./bit-counter.js";
import type { Tally } from "./tally.js";

/** Failing cells that a cause explains, and cells it would spoil among those tested. */
export interface Share {
  readonly explained: number;
  readonly spoiled: number;
}

/** The data bits, by mask, that a fault would make fail at an address. */
export type Spoils = (address: number) => number;

/** What a fault would spoil, counted for each data bit. */
export interface SpoiledCells {
  of(dataBits: readonly number[]): Share;
}

/**
 * The ways in which a line at rest can show that carries these address bits. Addresses that differ in them are one cell.
 * After a march all of the group fail but the one that comes first, upward or downward; after a test with a pattern each
 * gives the word of the one that was written last.
 */
export function restingWays({ expectation }: Tally, bits: readonly number[]): Spoils[] {
  const mask = bits.reduce((sum, bit) => sum | (1 << bit), 0);
  if (expectation.kind === "pattern") {
    const { of } = expectation;
    return [(address) => of(address) ^ of(address | mask), (address) => of(address) ^ of(address & ~mask)];
  }
  return [
    (address) => ((address & mask) === 0 ? 0 : everyBit),
    (address) => ((address & mask) === mask ? 0 : everyBit),
  ];
}

/**
 * The ways in which two joined lines can show; `pairs` holds the two address bits that meet as row and, if multiplexed,
 * as column. Lower or higher level wins; then, as above, the order of the test matters.
 */
export function joinedWays({ expectation }: Tally, pairs: readonly (readonly [number, number])[]): Spoils[] {
  const high = pairs.reduce((sum, [x, y]) => sum | (1 << Math.max(x, y)), 0);
  const both = pairs.map(([x, y]) => (1 << x) | (1 << y));
  const all = both.reduce((sum, mask) => sum | mask, 0);
  if (expectation.kind === "pattern") {
    const { of } = expectation;
    const lastWhenLowWins = (address: number): number =>
      both.reduce((at, mask) => ((at & mask) === mask ? at : (at & ~mask) | (high & mask)), address);
    const lastWhenHighWins = (address: number): number =>
      both.reduce((at, mask) => ((at & mask) === 0 ? at : at | mask), address);
    return [
      (address) => of(address) ^ of(lastWhenLowWins(address)),
      (address) => of(address) ^ of(lastWhenHighWins(address)),
    ];
  }
  const [first = 0, second = 0] = both;
  const differs = (address: number): boolean => {
    const a = address & first;
    const b = address & second;
    return (a !== 0 && a !== first) || (b !== 0 && b !== second);
  };
  return [
    (address) => (differs(address) ? everyBit : 0),
    (address) => ((address & all) === all ? 0 : everyBit),
    (address) => ((address & all) === 0 ? 0 : everyBit),
  ];
}

/** False if a fault, by a sample of what failed, leaves much unexplained; saves counting the rest. */
export function mayExplain({ addresses, wrong }: Tally, ways: readonly Spoils[]): boolean {
  const step = Math.max(1, Math.floor(addresses.length / sampled));
  return ways.some((spoils) => {
    let explained = 0;
    let counted = 0;
    for (let k = 0; k < addresses.length; k += step) {
      const seen = wrong[k] ?? 0;
      counted += 1;
      if ((seen & ~spoils(addresses[k] ?? 0)) === 0) explained += 1;
    }
    return explained >= counted * 0.9;
  });
}

/** Counts what a fault would spoil among the tested cells, and how much of it failed. */
export function spoiledBy({ testedAddresses, wrongAt }: Tally, spoils: Spoils): SpoiledCells {
  const spoiledBits = new BitCounter();
  const explainedBits = new BitCounter();
  let whole = 0;
  for (let k = 0; k < testedAddresses.length; k += 1) {
    const expected = spoils(testedAddresses[k] ?? 0);
    if (expected === 0) continue;
    if (expected === everyBit) whole += 1;
    else spoiledBits.add(expected);
    const seen = expected & (wrongAt[k] ?? 0);
    if (seen !== 0) explainedBits.add(seen);
  }
  const spoiled = spoiledBits.counts();
  const explained = explainedBits.counts();
  return {
    of: (dataBits) => {
      let sumSpoiled = whole * dataBits.length;
      let sumExplained = 0;
      for (const bit of dataBits) {
        sumSpoiled += spoiled[bit] ?? 0;
        sumExplained += explained[bit] ?? 0;
      }
      return { spoiled: sumSpoiled, explained: sumExplained };
    },
  };
}

/** The share that fits best: most explained, least that was good. */
export function better(shares: readonly Share[]): Share {
  const quality = ({ explained, spoiled }: Share): number => 3 * explained - spoiled;
  return shares.reduce((best, share) => (quality(share) > quality(best) ? share : best), {
    explained: 0,
    spoiled: 0,
  });
}

const sampled = 300;
const everyBit = 0xffff;
