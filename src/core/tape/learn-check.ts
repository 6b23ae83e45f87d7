import { bytesNumber, type CheckKind, checkBytes, checkValue } from "./check-value.js";
import type { BlockLayout } from "./scheme.js";

/** A check that fits all blocks, with the layout that goes with it. */
export interface CheckGuess {
  readonly block: BlockLayout;
  readonly why: string;
  readonly confidence: number;
}

const crc16 = (
  polynomial: string,
  initial: string,
  isReflected: boolean,
  finalXor = "0x0000",
): CheckKind => ({
  kind: "crc",
  width: 16,
  polynomial,
  initial,
  reflectIn: isReflected,
  reflectOut: isReflected,
  finalXor,
});

/** Check kinds in use, with their names for people. Parameters as in the public CRC catalogue, from memory. */
const kinds: readonly (readonly [name: string, kind: CheckKind])[] = [
  ["exclusive or", { kind: "xor8" }],
  ["8-bit sum", { kind: "sum8" }],
  ["negative 8-bit sum", { kind: "negative-sum8" }],
  ["16-bit sum", { kind: "sum16" }],
  ["CRC, polynomial 1021, from 0", crc16("0x1021", "0x0000", false)],
  ["CRC, polynomial 1021, from FFFF", crc16("0x1021", "0xFFFF", false)],
  ["CRC, polynomial 1021, reflected", crc16("0x1021", "0x0000", true)],
  ["CRC, polynomial 8005, reflected", crc16("0x8005", "0x0000", true)],
  ["CRC, polynomial 8005, reflected, from FFFF", crc16("0x8005", "0xFFFF", true)],
];

/**
 * A check value at the end of every block, over all bytes after the first `skip` ones, that fits all of them. One block
 * can fit an 8-bit check by chance once in 256 times for each kind tried; the confidence says so.
 */
export function guessCheck(runs: readonly (readonly number[])[]): CheckGuess | undefined {
  const long = runs.filter(({ length }) => length >= 6);
  if (long.length === 0) return undefined;
  for (const [name, value] of [...kinds].sort(([, a], [, b]) => checkBytes(b) - checkBytes(a))) {
    for (const order of ["high-first", "low-first"] as const) {
      for (let skip = 0; skip <= 4; skip += 1) {
        if (!long.every((run) => fits(run, value, order, skip))) continue;
        const chance = 2 ** (-8 * checkBytes(value) * long.length) * kinds.length * 10;
        const block: BlockLayout = {
          start: commonStart(long, skip),
          header: [],
          check: { value, covers: "body", order },
          pauseSeconds: 1,
        };
        if (block.start.length !== skip) continue;
        const why = `The last bytes of ${long.length === 1 ? "the block are" : `all ${long.length} blocks are`} a check value: ${name}${skip === 0 ? "" : `, after ${skip} bytes that all begin with`}.`;
        return { block, why, confidence: Math.max(0.05, 1 - chance) };
      }
    }
  }
  return undefined;
}

function fits(
  run: readonly number[],
  kind: CheckKind,
  order: "high-first" | "low-first",
  skip: number,
): boolean {
  const count = checkBytes(kind);
  const body = run.slice(skip, -count);
  return checkValue(kind, body) === bytesNumber(run.slice(-count), order);
}

function commonStart(runs: readonly (readonly number[])[], most: number): number[] {
  const [first] = runs;
  if (first === undefined) return [];
  const start: number[] = [];
  for (let i = 0; i < most; i += 1) {
    const value = first[i];
    if (value === undefined || !runs.every((run) => run[i] === value)) break;
    start.push(value);
  }
  return start;
}
