import { createRandom } from "../../base/random.js";
import { standardBackgrounds } from "../march/backgrounds.js";
import type { MarchSweep, MarchTest } from "../march/march.js";
import { faultsOfClass, type MemorySize } from "./enumerate.js";
import { type FaultClass, faultClasses, type MemoryFault } from "./fault.js";
import { FaultyMemory } from "./faulty-memory.js";

/** Most cells (addresses × word bits) of a memory whose every fault is simulated. */
export const maximumCells = 32;

/** Most elements of order ⇕; each doubles the runs, for either order must catch the fault. */
export const maximumEitherOrders = 8;

/** Cells up to which every initial content is tried; above, {@link sampledContents} of them are drawn. */
export const exhaustiveCells = 8;

const lanes = 32;
const sampledBatches = 4;

/** Initial contents that are tried where there are too many to try all. */
export const sampledContents = lanes * sampledBatches;

/** What is simulated besides the test. */
export interface CoverageOptions extends MemorySize {
  /** Words written as 0, one march after the other; the standard ones if absent. */
  readonly backgrounds?: readonly number[];
  /** For the initial contents where they are drawn. */
  readonly seed?: number;
  /** All if absent. */
  readonly classes?: readonly FaultClass[];
}

/** How many faults of a class are caught, of how many. */
export interface ClassCoverage {
  readonly faultClass: FaultClass;
  readonly detected: number;
  readonly total: number;
}

/** Coverage of a march test. */
export interface Coverage {
  /** In the order of the classes asked for. */
  readonly classes: readonly ClassCoverage[];
  readonly backgrounds: readonly number[];
  /** False if initial contents were drawn and not all tried. */
  readonly isExhaustive: boolean;
}

/**
 * Simulates every fault of each class. A fault counts as caught only if some read differs from what it should be for
 * every initial content, every order of each ⇕ and either value that the data lines gave before. Throws `RangeError`
 * for a memory of more than {@link maximumCells} cells, more than {@link maximumEitherOrders} elements ⇕, or a
 * background wider than the word.
 */
export function simulateCoverage(test: MarchTest, options: CoverageOptions): Coverage {
  const { addresses, wordBits } = options;
  const cells = addresses * wordBits;
  if (!Number.isInteger(addresses) || addresses < 2 || cells > maximumCells)
    throw new RangeError(
      `2 addresses or more and at most ${maximumCells} cells, got ${addresses} × ${wordBits}`,
    );
  const backgrounds = options.backgrounds ?? standardBackgrounds(wordBits);
  for (const background of backgrounds) {
    if (!Number.isInteger(background) || background < 0 || background >= 2 ** wordBits)
      throw new RangeError(`background ${background} does not fit into ${wordBits} bits`);
  }
  const runs: Runs = {
    size: { addresses, wordBits },
    steps: orderings(test).map((order) => stepsOf(test, order, options, backgrounds)),
    contents: initialContents(cells, options.seed ?? 1),
  };
  const classes = (options.classes ?? faultClasses).map((faultClass) => {
    const faults = faultsOfClass(faultClass, options);
    const detected = faults.filter((fault) => isCaught(fault, runs)).length;
    return { faultClass, detected, total: faults.length };
  });
  return { classes, backgrounds, isExhaustive: cells <= exhaustiveCells };
}

/** What is the same for every fault. */
interface Runs {
  readonly size: MemorySize;
  /** One list of steps for each way of ordering the ⇕ elements. */
  readonly steps: readonly (readonly Step[])[];
  /** Each [cells] lanes: 32 initial contents. */
  readonly contents: readonly Int32Array[];
}

/** One operation at one address; `address` is -1 for a pause. */
interface Step {
  readonly address: number;
  readonly isRead: boolean;
  readonly word: number;
}

function isCaught(fault: MemoryFault, { size, steps, contents }: Runs): boolean {
  return steps.every((list) =>
    contents.every((content) =>
      ([0, 1] as const).every((lastRead) => {
        if (lastRead === 1 && fault.kind !== "SOF") return true;
        return isCaughtInAllLanes(new FaultyMemory(size, fault, content, lastRead), list, size.wordBits);
      }),
    ),
  );
}

function isCaughtInAllLanes(memory: FaultyMemory, steps: readonly Step[], wordBits: number): boolean {
  let caught = 0;
  for (const { address, isRead, word } of steps) {
    if (address < 0) memory.pause();
    else if (!isRead) memory.write(address, word);
    else {
      memory.read(address);
      for (let bit = 0; bit < wordBits; bit += 1)
        caught |= (memory.output[bit] ?? 0) ^ ((word >> bit) & 1 ? -1 : 0);
      if (caught === -1) return true;
    }
  }
  return false;
}

/** Every way of ordering the ⇕ elements: one list of booleans (true: downward) for each. */
function orderings({ elements }: MarchTest): boolean[][] {
  const free = elements.filter((element) => element.kind === "sweep" && element.order === "any").length;
  if (free > maximumEitherOrders)
    throw new RangeError(`at most ${maximumEitherOrders} elements of order ⇕ are simulated, got ${free}`);
  return Array.from({ length: 2 ** free }, (_, way) =>
    Array.from({ length: free }, (__, k) => ((way >> k) & 1) === 1),
  );
}

function stepsOf(
  { elements }: MarchTest,
  downward: readonly boolean[],
  { addresses, wordBits }: MemorySize,
  backgrounds: readonly number[],
): Step[] {
  const mask = 2 ** wordBits - 1;
  const steps: Step[] = [];
  for (const background of backgrounds) {
    let free = 0;
    for (const element of elements) {
      if (element.kind === "pause") {
        steps.push({ address: -1, isRead: false, word: 0 });
        continue;
      }
      const isDown = element.order === "any" ? downward[free++] === true : element.order === "down";
      for (let i = 0; i < addresses; i += 1)
        addSteps(steps, element, isDown ? addresses - 1 - i : i, background, mask);
    }
  }
  return steps;
}

function addSteps(
  steps: Step[],
  { operations }: MarchSweep,
  address: number,
  background: number,
  mask: number,
): void {
  for (const { kind, inverted } of operations)
    steps.push({ address, isRead: kind === "read", word: inverted ? ~background & mask : background });
}

/** Batches of 32 initial contents: all of them if there are few, else all zeros, all ones and drawn ones. */
function initialContents(cells: number, seed: number): Int32Array[] {
  if (cells <= exhaustiveCells) {
    const batches = Math.max(1, 2 ** cells / lanes);
    return Array.from({ length: batches }, (_, batch) => {
      const content = new Int32Array(cells);
      for (let lane = 0; lane < lanes; lane += 1) {
        const pattern = batch * lanes + lane;
        for (let cell = 0; cell < cells; cell += 1)
          if ((pattern >> cell) & 1) content[cell] = (content[cell] ?? 0) | (1 << lane);
      }
      return content;
    });
  }
  const random = createRandom(seed);
  return Array.from({ length: sampledBatches }, () =>
    // Lane 0 holds zeros and lane 1 ones, which are what memories most often hold at power-on.
    Int32Array.from({ length: cells }, () => (random.below(2 ** 30) << 2) | 2),
  );
}
