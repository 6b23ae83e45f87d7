import { bytesNumber, checkBytes, checkValue } from "./check-value.js";
import { findRepair, type Repair } from "./repair.js";
import type { BlockLayout } from "./scheme.js";
import type { SoftTape } from "./soft-byte.js";

/** How a block's check value came out: `none` if the scheme has none, `cut` if the block ends before it. */
export type CheckResult = "none" | "good" | "bad" | "cut";

/** A field of a block's header as read. */
export interface FoundField {
  readonly name: string;
  readonly value: number;
}

/** A block found on a tape. Bytes are numbered on the tape; `bodyStart` to `bodyEnd` are those that the user wants. */
export interface TapeBlock {
  readonly firstByte: number;
  readonly bodyStart: number;
  readonly bodyEnd: number;
  /** After the check value. */
  readonly lastByte: number;
  readonly fields: readonly FoundField[];
  readonly check: CheckResult;
  /** Value on the tape and value worked out, where there is a check. */
  readonly checkFound?: number;
  readonly checkComputed?: number;
  /** The one bit whose change makes the check good, if the check is bad and one bit is doubtful enough. */
  readonly repair?: Repair;
}

/** A byte whose probability of being wrong is above this counts as doubtful. */
export const doubtfulAbove = 0.02;

/** A run of bytes of which more than this is doubt is noise that looked like bytes. */
const noiseAbove = 0.5;

/** Cuts a tape into blocks, by its runs of bytes and the layout of a block. */
export function findBlocks(tape: SoftTape, layout: BlockLayout | undefined): TapeBlock[] {
  const blocks: TapeBlock[] = [];
  for (let start = 0; start < tape.length; ) {
    let end = start + 1;
    while (end < tape.length && !tape.beginsRun(end)) end += 1;
    if (!isNoise(tape, start, end)) {
      if (layout === undefined) blocks.push(plainBlock(start, end));
      else blocks.push(...layoutBlocks(tape, start, end, layout));
    }
    start = end;
  }
  return blocks;
}

function isNoise(tape: SoftTape, start: number, end: number): boolean {
  let doubt = 0;
  for (let i = start; i < end; i += 1) doubt += tape.doubt(i);
  return doubt / (end - start) > noiseAbove;
}

function plainBlock(start: number, end: number): TapeBlock {
  return { firstByte: start, bodyStart: start, bodyEnd: end, lastByte: end, fields: [], check: "none" };
}

function layoutBlocks(tape: SoftTape, start: number, end: number, layout: BlockLayout): TapeBlock[] {
  const blocks: TapeBlock[] = [];
  let at = start;
  while (at < end) {
    const begin = findStart(tape, at, end, layout.start);
    // Bytes that no block begins with are kept as a block without a check, so that nothing is lost.
    if (begin === undefined) {
      blocks.push({ ...plainBlock(at, end), check: layout.check === undefined ? "none" : "cut" });
      break;
    }
    if (begin > at && blocks.length === 0 && begin - at > layout.start.length)
      blocks.push({ ...plainBlock(at, begin), check: layout.check === undefined ? "none" : "cut" });
    const block = readBlock(tape, begin, end, layout);
    blocks.push(block);
    at = block.lastByte;
    // What is left of a run after a block that gives its length is a block of its own only if it begins like one.
    if (findStart(tape, at, end, layout.start) === undefined || layout.start.length === 0) break;
  }
  return blocks;
}

/** Where the start bytes of a block stand, one wrong bit forgiven; the very next byte if there are none. */
function findStart(tape: SoftTape, from: number, end: number, bytes: readonly number[]): number | undefined {
  if (bytes.length === 0) return from < end ? from : undefined;
  for (let at = from; at + bytes.length <= end; at += 1) {
    let wrong = 0;
    for (let k = 0; k < bytes.length; k += 1) wrong += ones((bytes[k] ?? 0) ^ tape.value(at + k));
    if (wrong <= (bytes.length > 1 ? 1 : 0)) return at;
  }
  return undefined;
}

function ones(value: number): number {
  let count = 0;
  for (let left = value; left > 0; left >>= 1) count += left & 1;
  return count;
}

function readBlock(tape: SoftTape, begin: number, end: number, layout: BlockLayout): TapeBlock {
  const values = (from: number, to: number): number[] =>
    Array.from({ length: Math.max(0, Math.min(to, end) - from) }, (_, i) => tape.value(from + i));
  let at = begin + layout.start.length;
  const headerStart = at;
  const fields: FoundField[] = [];
  let length = layout.bodyBytes;
  for (const { name, bytes, role, order } of layout.header) {
    const value = bytesNumber(values(at, at + bytes), order);
    fields.push({ name, value });
    if (role === "length" && at + bytes <= end) length = Math.max(0, value + (layout.lengthAdds ?? 0));
    at += bytes;
  }
  const checkLength = layout.check === undefined ? 0 : checkBytes(layout.check.value);
  const bodyStart = Math.min(at, end);
  const wantedEnd = length === undefined ? Math.max(bodyStart, end - checkLength) : bodyStart + length;
  const bodyEnd = Math.min(wantedEnd, end);
  const lastByte = Math.min(wantedEnd + checkLength, end);
  const base = { firstByte: begin, bodyStart, bodyEnd, lastByte, fields };
  if (layout.check === undefined) return { ...base, check: wantedEnd > end ? "cut" : "none" };
  if (wantedEnd + checkLength > end) return { ...base, check: "cut" };
  const { value: kind, covers, order } = layout.check;
  const from = covers === "body" ? bodyStart : headerStart;
  const checkFound = bytesNumber(values(bodyEnd, lastByte), order);
  const checkComputed = checkValue(kind, values(from, bodyEnd));
  if (checkFound === checkComputed) return { ...base, check: "good", checkFound, checkComputed };
  const repair = findRepair(tape, { kind, order, from, bodyEnd, lastByte });
  return { ...base, check: "bad", checkFound, checkComputed, ...(repair === undefined ? {} : { repair }) };
}

/** The bytes of a block's body; with `repaired` the offered repair is made in them. */
export function blockBytes(
  tape: SoftTape,
  block: TapeBlock,
  repaired?: { readonly isRepaired: boolean },
): Uint8Array {
  const { bodyStart, bodyEnd, repair } = block;
  const bytes = Uint8Array.from({ length: bodyEnd - bodyStart }, (_, i) => tape.value(bodyStart + i));
  if (
    repaired?.isRepaired === true &&
    repair !== undefined &&
    repair.byte >= bodyStart &&
    repair.byte < bodyEnd
  )
    bytes[repair.byte - bodyStart] = repair.to;
  return bytes;
}
