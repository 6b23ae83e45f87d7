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
/** Bytes of the address by kind of record. */
const addressBytes: Readonly<Record<string, number>> = {
  0: 2,
  1: 2,
  2: 3,
  3: 4,
  5: 2,
  6: 3,
  7: 4,
  8: 3,
  9: 2,
};

/**
 * Reads S-records (*M68000 Family Programmer's Reference Manual*, Motorola, appendix C): S1 to S3 with data, S5 and S6
 * with their count, S7 to S9 as end; S0 is passed over. Lines with a flaw are left out. Codes: `record-size`,
 * `record-form`, `record-length`, `record-sum`, `record-count`, `record-end`, `record-twice`.
 */
export function parseSRecords(text: string): Parsed<readonly Block[]> {
  const problems: Problem[] = [];
  if (text.length > maximumRecordCharacters) {
    const message = `The text has ${text.length} characters; at most ${maximumRecordCharacters} are read.`;
    return { problems: [{ code: "record-size", severity: "error", message, where: {} }] };
  }
  const pieces: Piece[] = [];
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
    const kind = /^[Ss]([0-35-9])/.exec(record)?.[1] ?? "";
    const width = addressBytes[kind];
    const bytes = width === undefined ? undefined : hexBytes(record.slice(2));
    if (width === undefined || bytes === undefined || bytes.length < width + 2) {
      fail("record-form", "An S, a digit other than 4, and pairs of hexadecimal digits were expected.");
      continue;
    }
    const count = bytes[0] ?? 0;
    if (count !== bytes.length - 1) {
      fail("record-length", `The line says ${count} bytes and has ${bytes.length - 1}.`);
      continue;
    }
    if (sumOf(bytes) !== 0xff) {
      const right = 0xff - sumOf(bytes.subarray(0, -1));
      fail("record-sum", `The check byte is ${hexDigits([bytes.at(-1) ?? 0])}, not ${hexDigits([right])}.`);
      continue;
    }
    const address = bytes.subarray(1, 1 + width).reduce((value, byte) => value * 256 + byte, 0);
    if (kind === "1" || kind === "2" || kind === "3")
      pieces.push({ address, bytes: bytes.slice(1 + width, -1), line });
    else if (kind === "5" || kind === "6") {
      const lost = lost24(pieces.length, address, width);
      if (lost)
        fail("record-count", `The file says ${address} records of data and has ${pieces.length} sound ones.`);
    } else if (kind !== "0") end = line;
  }
  if (end === undefined)
    problems.push({
      code: "record-end",
      severity: "error",
      message: "The end record (S7, S8 or S9) is missing; the file may be cut off.",
      where: { line: lines.at(-1)?.line ?? 1 },
    });
  const joined = joinPieces(pieces);
  problems.push(...joined.problems);
  return { ...(joined.value === undefined ? {} : { value: joined.value }), problems };
}

/** True if a count of 16 or 24 bits cannot be that of so many records. */
function lost24(records: number, count: number, width: number): boolean {
  return records % 256 ** width !== count;
}

/**
 * Prints blocks as S-records, 16 bytes a record: S1, S2 or S3 as the highest address needs, with a count and the end record.
 * Throws `RangeError` for addresses beyond 32 bits.
 */
export function printSRecords(blocks: readonly Block[], header = ""): string {
  const top = blocks.reduce((last, { address, bytes }) => Math.max(last, address + bytes.length), 0);
  if (top > 0x100000000 || blocks.some(({ address }) => !Number.isInteger(address) || address < 0))
    throw new RangeError(`addresses of S-records have 32 bits, got one up to ${top}`);
  const kind = top <= 0x10000 ? 1 : top <= 0x1000000 ? 2 : 3;
  const lines: string[] = [];
  const add = (record: number, address: number, width: number, data: Iterable<number>): void => {
    const place = Array.from({ length: width }, (_, k) => Math.floor(address / 256 ** (width - 1 - k)) % 256);
    const content = [...place, ...data];
    const bytes = [content.length + 1, ...content];
    lines.push(`S${record}${hexDigits([...bytes, 0xff - sumOf(bytes)])}`);
  };
  const letters = [...header].map((letter) => letter.charCodeAt(0)).filter((code) => code < 0x80);
  add(0, 0, 2, letters.slice(0, 250));
  let records = 0;
  for (const { address, bytes } of blocks)
    for (let at = 0; at < bytes.length; at += bytesPerRecord, records += 1)
      add(kind, address + at, kind + 1, bytes.subarray(at, at + bytesPerRecord));
  if (records < 0x1000000) add(records < 0x10000 ? 5 : 6, records, records < 0x10000 ? 2 : 3, []);
  add(10 - kind, 0, kind + 1, []);
  return `${lines.join("\n")}\n`;
}
