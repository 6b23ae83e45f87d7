import type { Parsed, Problem } from "../base/problem.js";

/** Bytes that lie one behind the other. */
export interface Block {
  readonly address: number;
  readonly bytes: Uint8Array;
}

/** A run of bytes from one line of a record file. */
export interface Piece extends Block {
  readonly line: number;
}

/**
 * Joins pieces to blocks in order of address. The warning `record-twice` stands at a piece that gives other bytes to a
 * place than an earlier line; the later one is kept.
 */
export function joinPieces(pieces: readonly Piece[]): Parsed<readonly Block[]> {
  const problems: Problem[] = [];
  const order = pieces
    .map((piece, index) => ({ piece, index }))
    .filter(({ piece }) => piece.bytes.length > 0);
  order.sort((a, b) => a.piece.address - b.piece.address || a.index - b.index);
  const groups: { from: number; to: number; members: { piece: Piece; index: number }[] }[] = [];
  for (const entry of order) {
    const from = entry.piece.address;
    const to = from + entry.piece.bytes.length;
    const last = groups.at(-1);
    if (last !== undefined && from <= last.to) {
      last.to = Math.max(last.to, to);
      last.members.push(entry);
    } else groups.push({ from, to, members: [entry] });
  }
  const value = groups.map(({ from, to, members }): Block => {
    const bytes = new Uint8Array(to - from);
    const isSet = new Uint8Array(to - from);
    for (const { piece } of members.sort((a, b) => a.index - b.index)) {
      const at = piece.address - from;
      const differs = piece.bytes.some((byte, k) => isSet[at + k] === 1 && bytes[at + k] !== byte);
      if (differs)
        problems.push({
          code: "record-twice",
          severity: "warning",
          message:
            "This line gives other bytes to a place that an earlier line has filled; the later ones are kept.",
          where: { line: piece.line },
        });
      bytes.set(piece.bytes, at);
      isSet.fill(1, at, at + piece.bytes.length);
    }
    return { address: from, bytes };
  });
  return { value, problems };
}

/** Longest text that is read as records, in characters: a megabyte of content in the wordiest form. */
export const maximumRecordCharacters = 8_000_000;

/** The lines of a text with their numbers, blanks at the ends removed, empty ones left out. */
export function numberedLines(text: string): { readonly text: string; readonly line: number }[] {
  return text
    .split(/\r\n|\n|\r/)
    .map((line, k) => ({ text: line.trim(), line: k + 1 }))
    .filter((line) => line.text !== "");
}

/** Pairs of hexadecimal digits as bytes; undefined if there is anything else or a digit is left over. */
export function hexBytes(digits: string): Uint8Array | undefined {
  if (digits.length % 2 !== 0 || !/^[0-9A-Fa-f]*$/.test(digits)) return undefined;
  const bytes = new Uint8Array(digits.length / 2);
  for (let k = 0; k < bytes.length; k += 1) bytes[k] = Number.parseInt(digits.slice(2 * k, 2 * k + 2), 16);
  return bytes;
}

/** Bytes as upper-case hexadecimal digits. */
export function hexDigits(bytes: Iterable<number>): string {
  return [...bytes].map((byte) => byte.toString(16).toUpperCase().padStart(2, "0")).join("");
}

/** Sum of bytes modulo 256. */
export function sumOf(bytes: Iterable<number>): number {
  let sum = 0;
  for (const byte of bytes) sum = (sum + byte) & 0xff;
  return sum;
}
