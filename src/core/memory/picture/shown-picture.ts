import { columnOf, rowOf } from "../map/memory-map.js";
import type { PictureFault } from "./picture-fault.js";
import type { PictureContent, PicturePlan } from "./picture-plan.js";

const memoryWords = 65_536;

/**
 * The words that the picture fetches, [rows × columns] row by row. The memory wakes up, the program writes the content to
 * every place of the picture from the lowest address upward (unless the content is `start-up`), and the picture reads
 * each place, all through the fault. `counting` gives every place its own number, so that places that are taken for
 * others show.
 */
export function pictureWords(
  plan: PicturePlan,
  content: PictureContent,
  fault: PictureFault | undefined,
): Uint16Array {
  const { addresses, array, order, start } = plan;
  const all = maskOf(array.bits.map(({ bit }) => bit));
  const memory = start.slice();
  const { mask, processor, picture } = reachOf(fault, all);
  if (content !== "start-up" && fault?.kind !== "not-written") {
    for (const at of order) {
      const address = addresses[at] ?? 0;
      const word = contentWord(plan, content, at) & all;
      const there = processor(address);
      memory[address] = ((memory[address] ?? 0) & mask) | (word & ~mask);
      memory[there] = ((memory[there] ?? 0) & ~mask) | (word & mask);
    }
  }
  const asSeen = cellsOf(fault, plan);
  const words = new Uint16Array(addresses.length);
  for (let at = 0; at < words.length; at += 1) {
    const address = addresses[at] ?? 0;
    const there = picture(address);
    words[at] = asSeen(((memory[there] ?? 0) & mask) | ((memory[address] ?? 0) & ~mask & all), there);
  }
  return words;
}

/** What the program writes to a place. */
function contentWord({ layout }: PicturePlan, content: PictureContent, at: number): number {
  switch (content) {
    case "blank":
      return Number.parseInt(layout.blank, 16);
    case "zeros":
    case "start-up":
      return 0;
    case "ones":
      return 0xffff;
    case "counting":
      // Of characters only those that can be shown: blank to underline.
      return layout.draws.kind === "characters" ? 0x20 + (at % 64) : at;
  }
}

/** Where an address leads, for the program's writes and for the picture's reads, and the data bits it holds for. */
interface Reach {
  readonly mask: number;
  readonly processor: (address: number) => number;
  readonly picture: (address: number) => number;
}

function reachOf(fault: PictureFault | undefined, all: number): Reach {
  const straight = (address: number): number => address;
  if (fault?.kind === "address-line") {
    const mask = fault.lines.reduce((sum, line) => sum | (1 << line), 0);
    const astray = (address: number): number =>
      (fault.level === 0 ? address & ~mask : address | mask) & (memoryWords - 1);
    return {
      mask: fault.bits === undefined ? all : maskOf(fault.bits),
      processor: fault.side === "picture" ? straight : astray,
      picture: fault.side === "processor" ? straight : astray,
    };
  }
  if (fault?.kind === "address-lines-joined") {
    const astray = (address: number): number =>
      fault.pairs.reduce((at, pair) => join(at, pair, fault.winner), address);
    return { mask: all, processor: astray, picture: astray };
  }
  return { mask: all, processor: straight, picture: straight };
}

function join(address: number, [a, b]: readonly [number, number], winner: 0 | 1): number {
  const both = (1 << a) | (1 << b);
  const high = winner === 1 ? (address & both) !== 0 : (address & both) === both;
  return high ? address | both : address & ~both;
}

/** What the picture gets of a word read from an address. */
function cellsOf(
  fault: PictureFault | undefined,
  { array, start }: PicturePlan,
): (word: number, address: number) => number {
  switch (fault?.kind) {
    case "bits-stuck": {
      const force = forced(fault.bits, fault.level);
      return (word) => force(word);
    }
    case "cells": {
      const force = forced(fault.bits, fault.level);
      const of = fault.axis === "row" ? rowOf : columnOf;
      return (word, address) => (of(array, address) === fault.number ? force(word) : word);
    }
    case "data-bits-swapped": {
      const first = 1 << fault.first;
      const second = 1 << fault.second;
      return (word) =>
        (word & ~(first | second)) |
        ((word & first) !== 0 ? second : 0) |
        ((word & second) !== 0 ? first : 0);
    }
    case "forgets": {
      const mask = maskOf(fault.bits);
      const { rows } = fault;
      return (word, address) =>
        rows !== undefined && ((address >> rows.line) & 1) !== rows.level
          ? word
          : (word & ~mask) | ((start[address] ?? 0) & mask);
    }
    default:
      return (word) => word;
  }
}

function forced(bits: readonly number[], level: 0 | 1): (word: number) => number {
  const mask = maskOf(bits);
  return level === 0 ? (word) => word & ~mask : (word) => word | mask;
}

function maskOf(bits: readonly number[]): number {
  return bits.reduce((mask, bit) => mask | (1 << bit), 0);
}

/**
 * A picture drawn bit by bit as dots, [lines × dots of a line] row by row: 1 where a dot is lit. Throws `RangeError` for
 * a picture of characters.
 */
export function pictureDots({ layout }: PicturePlan, words: Uint16Array): Uint8Array {
  const { columns, rows, dotsAcross, linesHigh, draws } = layout;
  if (draws.kind !== "dots") throw new RangeError("a picture of characters has no dots of its own");
  const step = draws.leftBit > draws.rightBit ? -1 : 1;
  const width = columns * dotsAcross;
  const dots = new Uint8Array(width * rows * linesHigh);
  for (let y = 0; y < rows * linesHigh; y += 1)
    for (let x = 0; x < width; x += 1) {
      const word = words[Math.floor(y / linesHigh) * columns + Math.floor(x / dotsAcross)] ?? 0;
      const one = (word >> (draws.leftBit + step * (x % dotsAcross))) & 1;
      dots[y * width + x] = draws.lit === "one" ? one : 1 - one;
    }
  return dots;
}
