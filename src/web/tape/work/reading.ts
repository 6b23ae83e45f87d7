import type { Problem } from "../../../core/base/problem.js";

/** What a check value says of a block; `cut` if the block ends before it. */
export type CheckResult = "right" | "wrong" | "repaired" | "cut" | "none";

/** One bit whose change makes a check right: an offer. */
export interface RepairOffer {
  /** Number of the byte in the reading. */
  readonly byte: number;
  readonly value: number;
  /** How sure the bit was that has to change. */
  readonly bitConfidence: number;
  /** Other single bits that would do the same. */
  readonly rivals: number;
}

/** A framed run of bytes. */
export interface ReadBlock {
  /** Its bytes stand from `from` to before `to` in the lists of the reading. */
  readonly from: number;
  readonly to: number;
  readonly startSeconds: number;
  readonly endSeconds: number;
  /** Its contents, without header and check value. */
  readonly bodyFrom: number;
  readonly bodyTo: number;
  readonly check: CheckResult;
  readonly repair: RepairOffer | undefined;
  /** What the header says, by name. */
  readonly fields: readonly { readonly name: string; readonly value: number }[];
}

/** What was read from a recording: lists of one length, an entry for each byte in the order of the tape. */
export interface Reading {
  readonly schemeId: string;
  readonly schemeTitle: string;
  readonly bytes: Uint8Array;
  readonly startSeconds: Float64Array;
  readonly endSeconds: Float64Array;
  /** 1 where a byte is doubtful. */
  readonly doubtful: Uint8Array;
  /** Chance that the byte is right. */
  readonly confidence: Float32Array;
  /** The next likeliest value; -1 where there is none worth a word. */
  readonly other: Int16Array;
  /** Chance of that value. */
  readonly otherChance: Float32Array;
  /** Place in the list of takes of the one that gave the byte; all 0 if one was read. */
  readonly source: Uint8Array;
  /** Speed there as a multiple of the nominal one. */
  readonly speedRatio: Float32Array;
  /**
   * Bits of a character in the order of the tape: 0 and 1 where fixed, -1 - n for bit n of the byte, -10 for even and
   * -11 for odd parity.
   */
  readonly pattern: readonly number[];
  /** How long a 0 and a 1 last, in any unit: bits of pulse schemes differ. */
  readonly bitLengths: readonly [number, number];
  readonly blocks: readonly ReadBlock[];
  /** Place of the take whose moments these are in the list of takes that were read. */
  readonly timeline: number;
  readonly speedErrorPercent: number | undefined;
  readonly secondsOfAudio: number;
  /** What was listened to, of each take. */
  readonly channels: readonly string[];
  /** Loudest sample, and share of samples at full scale. */
  readonly peak: number;
  readonly clippedShare: number;
  readonly problems: readonly Problem[];
}

/** Numbers of the doubtful bytes, in order. */
export function doubtsOf({ doubtful }: Reading): number[] {
  const doubts: number[] = [];
  for (let i = 0; i < doubtful.length; i += 1) if (doubtful[i] === 1) doubts.push(i);
  return doubts;
}

/** Number of the byte that is on tape at a moment, or of the last one before it; -1 before the first. */
export function byteAt({ startSeconds }: Reading, seconds: number): number {
  let low = 0;
  let high = startSeconds.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((startSeconds[middle] ?? 0) <= seconds) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** The block a byte belongs to, or undefined between blocks. */
export function blockOf({ blocks }: Reading, byte: number): { block: ReadBlock; number: number } | undefined {
  const number = blocks.findIndex(({ from, to }) => byte >= from && byte < to);
  const block = blocks[number];
  return block === undefined ? undefined : { block, number };
}

/** The bytes of the blocks without headers and check values, one after the other: what a file of the contents holds. */
export function contentsOf({ blocks, bytes }: Reading): Uint8Array {
  const bodies = blocks.map(({ bodyFrom, bodyTo }) => bytes.subarray(bodyFrom, bodyTo));
  const out = new Uint8Array(bodies.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const body of bodies) {
    out.set(body, at);
    at += body.length;
  }
  return out;
}

/** The reading with the repair that is offered for a block; the changed byte stays marked as doubtful. */
export function withRepair(reading: Reading, number: number): Reading {
  const block = reading.blocks[number];
  const repair = block?.repair;
  if (repair === undefined) return reading;
  const bytes = reading.bytes.slice();
  const doubtful = reading.doubtful.slice();
  const other = reading.other.slice();
  other[repair.byte] = bytes[repair.byte] ?? 0;
  bytes[repair.byte] = repair.value;
  doubtful[repair.byte] = 1;
  const blocks = reading.blocks.map((old, i) =>
    i === number ? { ...old, check: "repaired" as const, repair: undefined } : old,
  );
  return { ...reading, bytes, doubtful, other, blocks };
}

/** Where the bits of a byte begin and end, as shares of its length: one number more than there are bits. */
export function bitBounds(reading: Reading, byte: number): number[] {
  const lengths = reading.pattern.map((_, k) => reading.bitLengths[bitAt(reading, byte, k) === 0 ? 0 : 1]);
  const whole = lengths.reduce((sum, length) => sum + length, 0);
  const bounds = [0];
  for (const length of lengths) bounds.push((bounds.at(-1) ?? 0) + length / whole);
  return bounds;
}

/** Value of a bit of a character as it stands on tape: place `k` of the pattern of the byte numbered `byte`. */
export function bitAt({ pattern, bytes }: Reading, byte: number, k: number): number {
  const place = pattern[k] ?? 0;
  if (place >= 0) return place;
  const value = bytes[byte] ?? 0;
  if (place > -9) return (value >> (-1 - place)) & 1;
  let ones = 0;
  for (let i = 0; i < 8; i += 1) ones += (value >> i) & 1;
  return place === -10 ? ones & 1 : 1 - (ones & 1);
}
