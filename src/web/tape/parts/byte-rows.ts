import type { ByteNotation } from "../strip/painting.js";
import type { Reading } from "../work/reading.js";

/** A byte as it stands in the list. */
export interface ByteCell {
  /** Its number in the reading. */
  readonly byte: number;
  readonly text: string;
  readonly isDoubtful: boolean;
}

/** A line of the list of bytes. */
export interface ByteRow {
  /** Where its first byte stands in its block, in hexadecimal. */
  readonly place: string;
  readonly cells: readonly ByteCell[];
  /** The bytes as letters, a full stop where there is none. */
  readonly letters: string;
}

/** Most bytes that are written at once. */
export const mostListed = 1024;

/** Bytes from `from` to before `to`, in rows that begin anew with each block; at most `mostListed` of them. */
export function byteRows(
  reading: Reading,
  from: number,
  to: number,
  notation: ByteNotation,
  perRow: number,
): ByteRow[] {
  const rows: ByteRow[] = [];
  const end = Math.min(to, from + mostListed);
  for (let at = from; at < end; ) {
    const block = reading.blocks.find((candidate) => at >= candidate.from && at < candidate.to);
    const start = block?.from ?? at;
    const limit = Math.min(end, block?.to ?? end, at + perRow - ((at - start) % perRow));
    const cells: ByteCell[] = [];
    let letters = "";
    for (let byte = at; byte < limit; byte += 1) {
      const value = reading.bytes[byte] ?? 0;
      cells.push({ byte, text: cellText(value, notation), isDoubtful: reading.doubtful[byte] === 1 });
      letters += value >= 0x20 && value < 0x7f ? String.fromCharCode(value) : "·";
    }
    const offset = at - start;
    rows.push({ place: offset.toString(16).toUpperCase().padStart(4, "0"), cells, letters });
    at = limit;
  }
  return rows;
}

function cellText(value: number, notation: ByteNotation): string {
  if (notation === "decimal") return String(value).padStart(3, "\u2007");
  if (notation === "text") return value >= 0x20 && value < 0x7f ? String.fromCharCode(value) : "·";
  return value.toString(16).toUpperCase().padStart(2, "0");
}
