import {
  type AddressRange,
  columnOf,
  contains,
  foldAddress,
  type MemoryArray,
  rowOf,
} from "../map/memory-map.js";
import type { FailingRead } from "./failure-list.js";
import { isTested } from "./tally.js";

/** State of a block of cells: not tested, all good, some failing, all failing. */
export const cellStates = ["untested", "good", "some", "all"] as const;

/** One data bit of a memory as the rows and columns of its chip. */
export interface CellPanel {
  readonly part: string;
  readonly bit: number;
  /** Cells from top to bottom and from left to right. */
  readonly rows: number;
  readonly columns: number;
  /** Cells along each side of a block. */
  readonly block: number;
  /** [rows / block × columns / block] row by row: index into `cellStates`. */
  readonly states: Uint8Array;
  readonly failing: number;
  readonly tested: number;
}

/** Blocks along a side at most: more cannot be told apart at arm's length. */
export const mostBlocks = 64;

/**
 * The memory as bits by chip, each as rows by columns with the failures in it. Dynamic chips are drawn by the row and
 * column they are strobed with; static ones, whose inner order is not known from their pins, by the upper and the lower
 * half of the address.
 */
export function cellMap(
  array: MemoryArray,
  reads: readonly FailingRead[],
  tested: readonly AddressRange[] | undefined,
): CellPanel[] {
  const { rows, columns, rowAt, columnAt } = shapeOf(array);
  const block = Math.max(1, Math.ceil(Math.max(rows, columns) / mostBlocks));
  const across = Math.ceil(columns / block);
  const down = Math.ceil(rows / block);
  const blockAt = (address: number): number =>
    Math.floor(rowAt(address) / block) * across + Math.floor(columnAt(address) / block);
  const testedIn = new Int32Array(across * down);
  let all = 0;
  for (const { from, to } of array.ranges)
    for (let address = from; address <= to; address += 1) {
      if (!isTested(tested, address)) continue;
      const at = blockAt(address);
      testedIn[at] = (testedIn[at] ?? 0) + 1;
      all += 1;
    }
  const wrong = new Map<number, number>();
  for (const { address: given, expected, read } of reads) {
    const address = foldAddress([array], given);
    if (contains(array, address)) wrong.set(address, (wrong.get(address) ?? 0) | (expected ^ read));
  }
  return array.bits.map(({ part, bit }) => {
    const failingIn = new Int32Array(across * down);
    let failing = 0;
    for (const [address, bits] of wrong) {
      if (((bits >> bit) & 1) === 0) continue;
      const at = blockAt(address);
      failingIn[at] = (failingIn[at] ?? 0) + 1;
      failing += 1;
    }
    const states = Uint8Array.from(testedIn, (count, at) => {
      const bad = failingIn[at] ?? 0;
      return count === 0 ? 0 : bad === 0 ? 1 : bad < count ? 2 : 3;
    });
    return { part, bit, rows, columns, block, states, failing, tested: all };
  });
}

interface Shape {
  readonly rows: number;
  readonly columns: number;
  readonly rowAt: (address: number) => number;
  readonly columnAt: (address: number) => number;
}

function shapeOf(array: MemoryArray): Shape {
  if (array.refreshRows !== undefined) {
    const side = 2 ** array.lines.length;
    return {
      rows: side,
      columns: side,
      rowAt: (address) => rowOf(array, address),
      columnAt: (address) => columnOf(array, address),
    };
  }
  const first = Math.min(...array.ranges.map(({ from }) => from));
  const size = Math.max(...array.ranges.map(({ to }) => to)) - first + 1;
  const columns = 2 ** Math.floor(Math.ceil(Math.log2(size)) / 2);
  return {
    rows: Math.ceil(size / columns),
    columns,
    rowAt: (address) => Math.floor((address - first) / columns),
    columnAt: (address) => (address - first) % columns,
  };
}
