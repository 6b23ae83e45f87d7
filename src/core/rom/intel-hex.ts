import type { Parsed, Problem } from "../base/problem.js";
import {
  type Block,
  hexBytes,
  hexDigits,
  joinPieces,
  maximumRecordCharacters,
  numberedLines,
  type Piece,
  sumOf,
} from "./blocks.js";

const bytesPerRecord = 16;
const type = { data: 0, end: 1, segment: 2, segmentStart: 3, upper: 4, start: 5 } as const;
/** Bytes that records other than data must carry. */
const lengths: Readonly<Record<number, number>> = { 1: 0, 2: 2, 3: 4, 4: 2, 5: 4 };

/**
 * Reads Intel HEX (*Hexadecimal Object File Format Specification*, Intel, revision A, 1988), with 8-bit, 16-bit segment
 * and 32-bit addresses; start addresses are passed over. Lines with a flaw are left out. Codes: `record-size`,
 * `record-form`, `record-length`, `record-sum`, `record-kind`, `record-end`, `record-twice`.
 */
export function parseIntelHex(text: string): Parsed<readonly Block[]> {
  const problems: Problem[] = [];
  if (text.length > maximumRecordCharacters) {
    const message = `The text has ${text.length} characters; at most ${maximumRecordCharacters} are read.`;
    return { problems: [{ code: "record-size", severity: "error", message, where: {} }] };
  }
  const pieces: Piece[] = [];
  let base = 0;
  let isSegment = false;
  let end: number | undefined;
  const lines = numberedLines(text);
  for (const { text: record, line } of lines) {
    const fail = (code: string, message: string): void => {
      problems.push({ code, severity: "error", message, where: { line } });
    };
    if (end !== undefined) {
      fail("record-end", `There are more lines behind the end record of line ${end}.`);
      break;
    }
    const bytes = record.startsWith(":") ? hexBytes(record.slice(1)) : undefined;
    if (bytes === undefined || bytes.length < 5) {
      fail("record-form", "A colon and at least ten hexadecimal digits were expected.");
      continue;
    }
    const [count = 0, high = 0, low = 0, kind = 0] = bytes;
    const data = bytes.slice(4, -1);
    if (count !== data.length) {
      fail("record-length", `The line says ${count} bytes and has ${data.length}.`);
      continue;
    }
    if (sumOf(bytes) !== 0) {
      const right = (0x100 - sumOf(bytes.subarray(0, -1))) & 0xff;
      fail("record-sum", `The check byte is ${hexDigits([bytes.at(-1) ?? 0])}, not ${hexDigits([right])}.`);
      continue;
    }
    if (kind > type.start || (kind !== type.data && lengths[kind] !== count)) {
      fail("record-kind", `There is no record of kind ${hexDigits([kind])} with ${count} bytes.`);
      continue;
    }
    const [first = 0, second = 0] = data;
    if (kind === type.end) end = line;
    else if (kind === type.segment || kind === type.upper) {
      isSegment = kind === type.segment;
      base = (first * 256 + second) * (isSegment ? 16 : 65536);
    } else if (kind === type.data) pieces.push(...dataPieces(base, isSegment, high * 256 + low, data, line));
  }
  if (end === undefined)
    problems.push({
      code: "record-end",
      severity: "error",
      message: "The end record, :00000001FF, is missing; the file may be cut off.",
      where: { line: lines.at(-1)?.line ?? 1 },
    });
  const joined = joinPieces(pieces);
  problems.push(...joined.problems);
  return { ...(joined.value === undefined ? {} : { value: joined.value }), problems };
}

/** Addresses wrap at the end of a segment, or of the 32 bits; a record that does so gives two pieces. */
function dataPieces(
  base: number,
  isSegment: boolean,
  offset: number,
  data: Uint8Array,
  line: number,
): Piece[] {
  const limit = isSegment ? base + 0x10000 : 0x100000000;
  const address = base + offset;
  const left = limit - address;
  if (data.length <= left) return [{ address, bytes: data, line }];
  return [
    { address, bytes: data.slice(0, left), line },
    { address: isSegment ? base : 0, bytes: data.slice(left), line },
  ];
}

/**
 * Prints blocks as Intel HEX, 16 bytes a record, with records of the upper address where one is above 64K. Throws
 * `RangeError` for addresses beyond 32 bits.
 */
export function printIntelHex(blocks: readonly Block[]): string {
  const lines: string[] = [];
  let upper = 0;
  const add = (address: number, kind: number, data: ArrayLike<number>): void => {
    const bytes = [data.length, (address >> 8) & 0xff, address & 0xff, kind, ...Array.from(data)];
    lines.push(`:${hexDigits([...bytes, (0x100 - sumOf(bytes)) & 0xff])}`);
  };
  for (const { address, bytes } of blocks) {
    if (!Number.isInteger(address) || address < 0 || address + bytes.length > 0x100000000)
      throw new RangeError(`addresses of Intel HEX have 32 bits, got ${address} with ${bytes.length} bytes`);
    for (let at = 0; at < bytes.length; ) {
      const start = address + at;
      const half = Math.floor(start / 65536);
      if (half !== upper) add(0, type.upper, [half >> 8, half & 0xff]);
      upper = half;
      const count = Math.min(bytesPerRecord, bytes.length - at, 65536 - (start % 65536));
      add(start % 65536, type.data, bytes.subarray(at, at + count));
      at += count;
    }
  }
  add(0, type.end, []);
  return `${lines.join("\n")}\n`;
}
