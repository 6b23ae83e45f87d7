import { createRandom } from "../../src/core/base/random.js";
import type { FailingRead } from "../../src/core/memory/failing/failure-list.js";
import type { MemoryArray } from "../../src/core/memory/map/memory-map.js";

/** A fault of a memory array as the bench would have it; `line` is an index into the array's lines. */
export type ArrayFault =
  | { readonly kind: "bit"; readonly bit: number; readonly value: 0 | 1 }
  | { readonly kind: "chip"; readonly part: string; readonly value: 0 | 1 }
  | { readonly kind: "row" | "column"; readonly bit: number; readonly index: number; readonly value: 0 | 1 }
  | { readonly kind: "cell"; readonly bit: number; readonly address: number; readonly value: 0 | 1 }
  | { readonly kind: "line"; readonly line: number; readonly value: 0 | 1; readonly part?: string }
  | { readonly kind: "input"; readonly line: number; readonly half: "row" | "column"; readonly value: 0 | 1 }
  | { readonly kind: "joined"; readonly lines: readonly [number, number]; readonly wiring: "and" | "or" }
  | { readonly kind: "silent"; readonly word: number }
  | { readonly kind: "no-write" }
  | { readonly kind: "forgets"; readonly line: number; readonly value: 0 | 1; readonly part?: string }
  | { readonly kind: "cells-alike"; readonly bit: number; readonly address: number; readonly other: number };

/** A memory array with a fault, worked on through the processor's addresses. */
class FaultyArray {
  readonly #array: MemoryArray;
  readonly #fault: ArrayFault | undefined;
  /** [bits][row × columns + column] */
  readonly #cells: Uint8Array[];
  /** Places by address, for chips that the fault is in and for the others; -1 where not yet worked out. */
  readonly #places = [true, false].map(() => new Int32Array(0x10000).fill(-1));

  constructor(array: MemoryArray, fault: ArrayFault | undefined, seed: number) {
    this.#array = array;
    this.#fault = fault;
    const random = createRandom(seed);
    const size = 2 ** (array.lines.length * (array.refreshRows === undefined ? 1 : 2));
    this.#cells = array.bits.map(() => Uint8Array.from({ length: size }, () => random.below(2)));
  }

  write(address: number, word: number): void {
    if (this.#fault?.kind === "no-write" || this.#fault?.kind === "silent") return;
    for (const [k, { bit, part }] of this.#array.bits.entries()) {
      const cells = this.#cells[k];
      if (cells !== undefined) cells[this.#place(address, bit, part)] = (word >> bit) & 1;
    }
  }

  read(address: number): number {
    if (this.#fault?.kind === "silent") return this.#fault.word;
    let word = 0;
    for (const [k, { bit, part }] of this.#array.bits.entries()) {
      const held = this.#cells[k]?.[this.#place(address, bit, part)] ?? 0;
      word |= this.#seen(address, bit, part, held) << bit;
    }
    return word;
  }

  /** Time without refresh of the rows that the fault names: each chip drifts to its own resting value. */
  wait(): void {
    const fault = this.#fault;
    if (fault?.kind !== "forgets") return;
    for (const [k, { bit, part }] of this.#array.bits.entries()) {
      const cells = this.#cells[k];
      if (cells === undefined || (fault.part !== undefined && fault.part !== part)) continue;
      for (let place = 0; place < cells.length; place += 1) {
        const row = place >> this.#array.lines.length;
        if (((row >> fault.line) & 1) === fault.value) cells[place] = (bit * 5 + (place & 1)) & 1;
      }
    }
  }

  #seen(address: number, bit: number, part: string, held: number): number {
    const fault = this.#fault;
    if (fault === undefined) return held;
    if (fault.kind === "bit" && fault.bit === bit) return fault.value;
    if (fault.kind === "chip" && fault.part === part) return fault.value;
    if (fault.kind === "cell" && fault.bit === bit && fault.address === address) return fault.value;
    if ((fault.kind === "row" || fault.kind === "column") && fault.bit === bit) {
      const levels = this.#levels(address, part);
      if ((fault.kind === "row" ? levels.row : levels.column) === fault.index) return fault.value;
    }
    return held;
  }

  #place(address: number, bit: number, part: string): number {
    const fault = this.#fault;
    const asked =
      fault?.kind === "cells-alike" && fault.bit === bit && address === fault.other ? fault.address : address;
    const isOwn = fault !== undefined && "part" in fault && fault.part === part;
    const known = this.#places[isOwn ? 0 : 1];
    const place = known?.[asked] ?? -1;
    if (place >= 0) return place;
    const { row, column } = this.#levels(asked, part);
    const found = this.#array.refreshRows === undefined ? row : (row << this.#array.lines.length) | column;
    if (known !== undefined) known[asked] = found;
    return found;
  }

  /** Row and column as the chip sees them. */
  #levels(address: number, part: string): { row: number; column: number } {
    const fault = this.#fault;
    const { lines } = this.#array;
    const level = (half: "row" | "column", k: number): number => {
      if (fault?.kind === "line" && fault.line === k && (fault.part === undefined || fault.part === part))
        return fault.value;
      if (fault?.kind === "input" && fault.line === k && fault.half === half) return fault.value;
      const source = lines[k]?.way[half];
      return source === undefined ? 0 : (address >> source.bit) & 1;
    };
    const word = (half: "row" | "column"): number => {
      const levels = lines.map((_, k) => level(half, k));
      if (fault?.kind === "joined") {
        const [a, b] = fault.lines;
        const joined =
          fault.wiring === "and" ? (levels[a] ?? 0) & (levels[b] ?? 0) : (levels[a] ?? 0) | (levels[b] ?? 0);
        levels[a] = joined;
        levels[b] = joined;
      }
      return levels.reduce((sum, value, k) => sum | (value << k), 0);
    };
    return { row: word("row"), column: word("column") };
  }
}

/** Every address of the array, upward. */
export function addressesOf({ ranges }: MemoryArray): number[] {
  return ranges.flatMap(({ from, to }) => Array.from({ length: to - from + 1 }, (_, k) => from + k));
}

/** Wrong reads of a march: zeros and ones written and read upward, then downward. */
export function marchFailures(array: MemoryArray, fault: ArrayFault): FailingRead[] {
  const memory = new FaultyArray(array, fault, 3);
  const up = addressesOf(array);
  const down = [...up].reverse();
  const fails: FailingRead[] = [];
  const check = (address: number, expected: number): void => {
    const read = memory.read(address);
    if (read !== expected) fails.push({ address, expected, read });
  };
  for (const address of up) memory.write(address, 0);
  for (const [order, expected] of [
    [up, 0],
    [up, 0xff],
    [down, 0],
    [down, 0xff],
  ] as const) {
    memory.wait();
    for (const address of order) {
      check(address, expected);
      memory.write(address, expected ^ 0xff);
    }
  }
  return fails;
}

/** Wrong reads of a plain test: every address is given a word made from its number, then all are read. */
export function patternFailures(array: MemoryArray, fault: ArrayFault): FailingRead[] {
  const memory = new FaultyArray(array, fault, 4);
  const pattern = (address: number): number => (address ^ (address >> 8)) & 0xff;
  const addresses = addressesOf(array);
  for (const address of addresses) memory.write(address, pattern(address));
  memory.wait();
  return addresses.flatMap((address) => {
    const expected = pattern(address);
    const read = memory.read(address);
    return read === expected ? [] : [{ address, expected, read }];
  });
}
