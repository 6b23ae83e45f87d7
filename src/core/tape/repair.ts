import { bytesNumber, type CheckKind, checkValue } from "./check-value.js";
import type { SoftTape } from "./soft-byte.js";

/** One changed bit that makes a block's check good: an offer, never done without being asked for. */
export interface Repair {
  /** Byte on the tape. */
  readonly byte: number;
  readonly from: number;
  readonly to: number;
  /** How sure the bit was that has to change, as the probability that it was read right. */
  readonly bitConfidence: number;
  /** Other single bits that would make the check good as well; with a sum there are often some. */
  readonly rivals: number;
}

/** Stretch of a tape that a check value covers, and where the value stands. */
export interface CheckedStretch {
  readonly kind: CheckKind;
  readonly order: "high-first" | "low-first";
  readonly from: number;
  readonly bodyEnd: number;
  readonly lastByte: number;
}

/** Bits that are tried, the least certain first. */
const mostTries = 64;

/** Least certainty (as a logarithm of odds) of a bit that nobody would change. */
const certainAbove = 8;

/**
 * The least certain bit whose change alone makes the check good. Only bits that were heard badly are tried: any error
 * could be explained by some bit, and a bit that was loud and clear is no explanation.
 */
export function findRepair(tape: SoftTape, stretch: CheckedStretch): Repair | undefined {
  const { kind, order, from, bodyEnd, lastByte } = stretch;
  const values = Array.from({ length: lastByte - from }, (_, i) => tape.value(from + i));
  const bits: { readonly byte: number; readonly bit: number; readonly size: number }[] = [];
  for (let byte = from; byte < lastByte; byte += 1) {
    for (let bit = 0; bit < 8; bit += 1) {
      const size = Math.abs(tape.bit(byte, bit));
      if (size < certainAbove) bits.push({ byte, bit, size });
    }
  }
  bits.sort((a, b) => a.size - b.size || a.byte - b.byte || a.bit - b.bit);
  let found: Repair | undefined;
  for (const { byte, bit, size } of bits.slice(0, mostTries)) {
    const changed = [...values];
    const old = changed[byte - from] ?? 0;
    changed[byte - from] = old ^ (1 << bit);
    const body = changed.slice(0, bodyEnd - from);
    if (checkValue(kind, body) !== bytesNumber(changed.slice(bodyEnd - from), order)) continue;
    if (found !== undefined) found = { ...found, rivals: found.rivals + 1 };
    else
      found = { byte, from: old, to: old ^ (1 << bit), bitConfidence: 1 / (1 + Math.exp(-size)), rivals: 0 };
  }
  return found;
}
