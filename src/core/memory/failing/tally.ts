import { type AddressRange, contains, type MemoryArray } from "../map/memory-map.js";
import { BitCounter } from "./bit-counter.js";
import { type Expectation, expectationOf } from "./expectation.js";
import type { FailingRead } from "./failure-list.js";

/** Failing reads of one array, counted in every way that the explanations ask for. */
export interface Tally {
  readonly array: MemoryArray;
  /** Distinct failing addresses, in the order of the list. */
  readonly addresses: Int32Array;
  /** [addresses] bits that failed there, by mask. */
  readonly wrong: Int32Array;
  /** [tested] every tested address, upward. */
  readonly testedAddresses: Int32Array;
  /** [tested] bits that failed at each tested address, by mask; 0 where all was good. */
  readonly wrongAt: Int32Array;
  /** What the test wrote. */
  readonly expectation: Expectation;
  /** [bits of a word] share of a bit's cells that show a fault of the cell: where what was expected is not what it gives. */
  readonly visible: Float64Array;
  /** Failing cells: pairs of an address and a bit. */
  readonly cells: number;
  /** [bits of a word] failing cells of each bit. */
  readonly cellsOfBit: Int32Array;
  /** [bits of a word × 2] failing reads of each bit that gave 0, and that gave 1. */
  readonly readAs: Int32Array;
  /** [bits of a word × address bits × 2] failing cells of a bit at addresses where an address bit is 0, or 1. */
  readonly cellsAt: Int32Array;
  /** Tested addresses in the array. */
  readonly tested: number;
  /** [address bits × 2] tested addresses where an address bit is 0, or 1. */
  readonly testedAt: Int32Array;
  /** Share of the failing reads in which every bit of the word was the opposite of what was expected. */
  readonly invertedShare: number;
  /** True if every failing read gave the same word. */
  readonly isReadConstant: boolean;
  /** The words read, up to a few. */
  readonly wordsRead: readonly number[];
  /** Share of the reads with a known temperature that failed warm; undefined if none has one. */
  readonly warmShare?: number;
}

/** Address bits that are counted apart. */
export const addressBits = 16;

const wordBits = 16;

/** True if the address was tested: every address is, unless ranges are given. */
export function isTested(tested: readonly AddressRange[] | undefined, address: number): boolean {
  return tested === undefined || tested.some(({ from, to }) => address >= from && address <= to);
}

/** Counts the failing reads that lie in an array; undefined if there are none. */
export function tallyReads(
  array: MemoryArray,
  reads: readonly FailingRead[],
  tested: readonly AddressRange[] | undefined,
): Tally | undefined {
  const position = new Int32Array(2 ** addressBits).fill(-1);
  const addresses: number[] = [];
  const wrong: number[] = [];
  const readLow = new BitCounter();
  const readHigh = new BitCounter();
  const wordsRead = new Set<number>();
  const mask = array.bits.reduce((sum, { bit }) => sum | (1 << bit), 0);
  let own = 0;
  let inverted = 0;
  let warm = 0;
  let cold = 0;
  for (const { address, expected, read, when } of reads) {
    if (!contains(array, address)) continue;
    own += 1;
    const difference = (expected ^ read) & mask;
    if (difference === mask) inverted += 1;
    if (wordsRead.size < 8) wordsRead.add(read & mask);
    if (when === "warm") warm += 1;
    else if (when === "cold") cold += 1;
    const at = position[address] ?? -1;
    if (at < 0) {
      position[address] = addresses.length;
      addresses.push(address);
      wrong.push(difference);
    } else wrong[at] = (wrong[at] ?? 0) | difference;
    readHigh.add(difference & read);
    readLow.add(difference & ~read);
  }
  if (own === 0) return undefined;
  const lows = readLow.counts();
  const highs = readHigh.counts();
  const readAs = Int32Array.from(
    { length: wordBits * 2 },
    (_, k) => (k % 2 === 0 ? lows : highs)[k >> 1] ?? 0,
  );
  const counted = countTested(array, tested);
  const wrongAt = counted.testedAddresses.map((address) => wrong[position[address] ?? -1] ?? 0);
  const expectation = expectationOf(reads, mask);
  return {
    array,
    addresses: Int32Array.from(addresses),
    wrong: Int32Array.from(wrong),
    readAs,
    wrongAt,
    expectation,
    visible: visibleShares(counted.testedAddresses, expectation, readAs),
    ...countCells(addresses, wrong),
    ...counted,
    invertedShare: inverted / own,
    isReadConstant: wordsRead.size === 1,
    wordsRead: [...wordsRead],
    ...(warm + cold === 0 ? {} : { warmShare: warm / (warm + cold) }),
  };
}

function countCells(
  addresses: readonly number[],
  wrong: readonly number[],
): Pick<Tally, "cells" | "cellsOfBit" | "cellsAt"> {
  const cellsOfBit = new Int32Array(wordBits);
  const cellsAt = new Int32Array(wordBits * addressBits * 2);
  let cells = 0;
  for (const [k, address] of addresses.entries()) {
    const difference = wrong[k] ?? 0;
    for (let bit = 0; bit < wordBits; bit += 1) {
      if (((difference >> bit) & 1) === 0) continue;
      cells += 1;
      cellsOfBit[bit] = (cellsOfBit[bit] ?? 0) + 1;
      for (let left = address & 0xffff; left !== 0; left &= left - 1) {
        const place = (bit * addressBits + 31 - Math.clz32(left & -left)) * 2 + 1;
        cellsAt[place] = (cellsAt[place] ?? 0) + 1;
      }
    }
  }
  for (let bit = 0; bit < wordBits; bit += 1) {
    for (let line = 0; line < addressBits; line += 1) {
      const place = (bit * addressBits + line) * 2;
      cellsAt[place] = (cellsOfBit[bit] ?? 0) - (cellsAt[place + 1] ?? 0);
    }
  }
  return { cells, cellsOfBit, cellsAt };
}

function countTested(
  { ranges }: MemoryArray,
  tested: readonly AddressRange[] | undefined,
): Pick<Tally, "tested" | "testedAt" | "testedAddresses"> {
  const list: number[] = [];
  const counter = new BitCounter();
  for (const { from, to } of ranges) {
    for (let address = from; address <= to; address += 1) {
      if (!isTested(tested, address)) continue;
      list.push(address);
      counter.add(address);
    }
  }
  const ones = counter.counts();
  const testedAt = Int32Array.from({ length: addressBits * 2 }, (_, k) => {
    const high = ones[k >> 1] ?? 0;
    return k % 2 === 1 ? high : list.length - high;
  });
  return { tested: list.length, testedAt, testedAddresses: Int32Array.from(list) };
}

/**
 * In a march each cell is read with both values, so all faults show. Where each address was given one known word, a bit
 * that gives one value shows only where the other was expected, and one that gives either shows in half of its cells.
 */
function visibleShares(tested: Int32Array, expectation: Expectation, readAs: Int32Array): Float64Array {
  const visible = new Float64Array(wordBits).fill(1);
  if (expectation.kind !== "pattern") return visible;
  const counter = new BitCounter();
  for (const address of tested) counter.add(expectation.of(address));
  const ones = counter.counts();
  for (let bit = 0; bit < wordBits; bit += 1) {
    const shareOfOnes = (ones[bit] ?? 0) / Math.max(1, tested.length);
    const low = readAs[bit * 2] ?? 0;
    const high = readAs[bit * 2 + 1] ?? 0;
    visible[bit] = high === 0 ? shareOfOnes : low === 0 ? 1 - shareOfOnes : 0.5;
  }
  return visible;
}
