import type { FailingRead } from "./failure-list.js";
import type { Tally } from "./tally.js";

/** Reads looked at, spread over the list. */
const sampled = 256;

/**
 * What the read values say about "addresses that differ by one of `flips` are the same cells": 1.5 if every read gave
 * what can stand there, -1.5 if none did. After a march that is the word or its opposite, after a test with a pattern the
 * pattern's word; otherwise what the list itself expects there. Only the data bits given are compared. Own estimate.
 */
export function aliasEvidence(
  { expectation }: Tally,
  reads: readonly FailingRead[],
  flips: readonly number[],
  dataBits: readonly number[],
): number {
  const mask = dataBits.reduce((sum, bit) => sum | (1 << bit), 0);
  const step = Math.max(1, Math.floor(reads.length / sampled));
  const listed = new Map<number, number>();
  if (expectation.kind === "unknown")
    for (const { address, expected } of reads.slice(0, sampled * 16)) listed.set(address, expected);
  let fits = 0;
  let counted = 0;
  for (let k = 0; k < reads.length; k += step) {
    const failing = reads[k];
    if (failing === undefined) break;
    const { address, expected, read } = failing;
    const difference = (expected ^ read) & mask;
    if (difference === 0) continue;
    counted += 1;
    const isThere =
      expectation.kind === "march"
        ? difference === mask
        : flips.some((flip) => {
            const other = address ^ flip;
            const there = expectation.kind === "pattern" ? expectation.of(other) : listed.get(other);
            return there !== undefined && ((there ^ read) & mask) === 0;
          });
    if (isThere) fits += 1;
  }
  return counted === 0 ? 0 : 3 * (fits / counted - 0.5);
}
