import { hex } from "../../base/hex.js";
import type { Problem } from "../../base/problem.js";
import type { Board } from "../../board/board.js";
import type { AddressRange, MemoryArray } from "../map/memory-map.js";

/** Memory that is tested as one: a bank of the plan. */
export interface TestBank {
  /** 0 is the main memory; the beacon's codes hold banks 0 to 3. */
  readonly index: number;
  readonly title: string;
  readonly array: MemoryArray;
  /** What is tested of it, in order, without overlaps. */
  readonly ranges: readonly AddressRange[];
  /** Data bits that the bank has, as a mask. */
  readonly bitMask: number;
  /** Processor address lines on which two tested words differ, as a mask; these can be tested. */
  readonly lineMask: number;
}

/** The codes of the beacon can name so many banks. */
const maximumBanks = 4;

/** Ranges are tested in whole pages. */
const pageBytes = 256;

/**
 * The banks of a board, main memory first, cut to the ranges that are asked for. Adds to `problems` with the codes
 * `range-outside`, `range-overlap`, `range-not-page`, `too-many-banks`.
 */
export function banksOf(
  board: Board,
  arrays: readonly MemoryArray[],
  asked: readonly AddressRange[] | undefined,
  problems: Problem[],
): TestBank[] {
  const fail = (code: string, message: string): void => {
    problems.push({ code, severity: "error", message, where: { field: "ranges" } });
  };
  for (const [k, { from, to }] of (asked ?? []).entries()) {
    if (from > to) fail("range-outside", `The range ${hex(from)}-${hex(to)} ends before it begins.`);
    else if (uncovered(arrays, from, to) !== undefined)
      fail(
        "range-outside",
        `The range ${hex(from)}-${hex(to)} leaves the RAM of the board at ${hex(uncovered(arrays, from, to) ?? from)}.`,
      );
    if (from % pageBytes !== 0 || to % pageBytes !== pageBytes - 1)
      fail(
        "range-not-page",
        `The range ${hex(from)}-${hex(to)} is not made of whole pages of 256 bytes, as 2000-20FF is.`,
      );
    if (asked?.slice(0, k).some((other) => other.from <= to && from <= other.to) === true)
      fail("range-overlap", `The range ${hex(from)}-${hex(to)} overlaps another one.`);
  }
  const banks = [...arrays]
    .sort(
      (a, b) => Number(a.kind === "screen") - Number(b.kind === "screen") || size(b.ranges) - size(a.ranges),
    )
    .map((array) => ({ array, ranges: asked === undefined ? array.ranges : within(array, asked) }))
    .filter(({ ranges }) => ranges.length > 0);
  if (banks.length > maximumBanks)
    fail(
      "too-many-banks",
      `${banks.length} banks of memory are more than the ${maximumBanks} that the code can name.`,
    );
  return banks.map(({ array, ranges }, index) => ({
    index,
    title: titleOf(board, array),
    array,
    ranges,
    bitMask: array.bits.reduce((mask, { bit }) => mask | (1 << bit), 0),
    lineMask: differing(ranges),
  }));
}

function titleOf(board: Board, { regions }: MemoryArray): string {
  return board.memory
    .filter(({ id }) => regions.includes(id))
    .map(({ title }) => title)
    .join("; ");
}

/** The parts of an array's first copy that were asked for. */
function within({ ranges }: MemoryArray, asked: readonly AddressRange[]): AddressRange[] {
  return [...asked]
    .sort((a, b) => a.from - b.from)
    .flatMap((range) =>
      ranges.flatMap((own): AddressRange[] => {
        const from = Math.max(own.from, range.from);
        const to = Math.min(own.to, range.to);
        return from <= to ? [{ from, to }] : [];
      }),
    );
}

/** First address from `from` to `to` that no array holds. */
function uncovered(arrays: readonly MemoryArray[], from: number, to: number): number | undefined {
  let at = from;
  for (;;) {
    const holder = arrays.flatMap(({ ranges }) => ranges).find((range) => range.from <= at && at <= range.to);
    if (holder === undefined) return at;
    if (holder.to >= to) return undefined;
    at = holder.to + 1;
  }
}

/** Address lines that are low at one and high at another address of the ranges. */
function differing(ranges: readonly AddressRange[]): number {
  let mask = 0;
  for (let line = 0; line < 16; line += 1) {
    const levels = ranges.flatMap(({ from, to }) =>
      from >> line !== to >> line ? [0, 1] : [(from >> line) & 1],
    );
    if (new Set(levels).size === 2) mask |= 1 << line;
  }
  return mask;
}

function size(ranges: readonly AddressRange[]): number {
  return ranges.reduce((sum, { from, to }) => sum + to - from + 1, 0);
}
