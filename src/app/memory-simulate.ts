import { nearestName } from "../core/base/nearest.js";
import type { Parsed } from "../core/base/problem.js";
import {
  type Coverage,
  maximumCells,
  sampledContents,
  simulateCoverage,
} from "../core/memory/faults/coverage.js";
import { type FaultClass, faultClassTitles } from "../core/memory/faults/fault.js";
import { maximumWordBits, printBackground, standardBackgrounds } from "../core/memory/march/backgrounds.js";
import { type MarchTest, operationCount } from "../core/memory/march/march.js";
import { findMarchTest, type NamedMarchTest } from "../core/memory/march/march-tests.js";
import { parseMarch, printMarch } from "../core/memory/march/notation.js";
import type { Store } from "./passed-in.js";
import { usage } from "./usage.js";

/** What the user asks of the fault simulator. */
export interface SimulateRequest {
  /** Name of an installed march test, or a test in notation. */
  readonly march: string;
  /** Words of the memory. */
  readonly addresses: number;
  readonly wordBits: number;
  /** Hexadecimal words separated by commas; the standard ones if absent. */
  readonly backgrounds?: string;
  readonly seed: number;
}

/** Coverage of a test, and what was simulated. */
export interface SimulatedMarch {
  /** Name of the test; absent for a test given in notation. */
  readonly title?: string;
  readonly notation: string;
  readonly addresses: number;
  readonly wordBits: number;
  /** Operations on the whole memory, all backgrounds together. */
  readonly operations: number;
  /** Hexadecimal. */
  readonly backgrounds: readonly string[];
  /** Initial contents tried; absent if all there are. */
  readonly drawnContents?: number;
  readonly classes: readonly SimulatedClass[];
}

/** How many faults of a class a test always catches. */
export interface SimulatedClass {
  readonly faultClass: FaultClass;
  /** The class in words. */
  readonly title: string;
  readonly detected: number;
  readonly total: number;
}

/**
 * Simulates a march test against every fault of a small memory. The value is absent if the notation has a flaw.
 * Throws `usage` for a name, a size or a background that cannot be.
 */
export function simulateMarch(store: Store, request: SimulateRequest): Parsed<SimulatedMarch> {
  const { addresses, wordBits, seed } = request;
  checkSize(addresses, wordBits);
  const backgrounds =
    request.backgrounds === undefined
      ? standardBackgrounds(wordBits)
      : readBackgrounds(request.backgrounds, wordBits);
  const { value, problems } = readMarch(store.data.marchTests(), request.march);
  if (value === undefined) return { problems };
  const { test, title } = value;
  let coverage: Coverage;
  try {
    coverage = simulateCoverage(test, { addresses, wordBits, backgrounds, seed });
  } catch (cause) {
    if (cause instanceof RangeError) throw usage(`This test cannot be simulated: ${cause.message}.`);
    throw cause;
  }
  return {
    value: {
      ...(title === undefined ? {} : { title }),
      notation: printMarch(test),
      addresses,
      wordBits,
      operations: operationCount(test, addresses, backgrounds.length),
      backgrounds: backgrounds.map((word) => printBackground(word, wordBits)),
      ...(coverage.isExhaustive ? {} : { drawnContents: sampledContents }),
      classes: coverage.classes.map((found) => ({ ...found, title: faultClassTitles[found.faultClass] })),
    },
    problems,
  };
}

function readMarch(
  tests: readonly NamedMarchTest[],
  text: string,
): Parsed<{ readonly test: MarchTest; readonly title?: string }> {
  const named = findMarchTest(tests, text);
  if (named !== undefined) return { value: { test: named.test, title: named.title }, problems: [] };
  if (/^[\w\s+−-]*$/.test(text)) {
    const near = nearestName(
      text,
      tests.map(({ id }) => id),
    );
    const meant = near === undefined ? "" : ` Did you mean '${near}'?`;
    const ids = tests.map(({ id }) => id).join(", ");
    throw usage(`There is no march test called '${text}'.${meant} Tests here: ${ids}; or give its notation.`);
  }
  const { value, problems } = parseMarch(text);
  return value === undefined ? { problems } : { value: { test: value }, problems };
}

function checkSize(addresses: number, wordBits: number): void {
  if (!Number.isInteger(wordBits) || wordBits < 1 || wordBits > maximumWordBits)
    throw usage(`--width takes 1 to ${maximumWordBits} bits.`);
  if (!Number.isInteger(addresses) || addresses < 2 || addresses * wordBits > maximumCells)
    throw usage(
      `--cells takes a whole number from 2, and with --width at most ${maximumCells} bits in all; what a test catches does not change with the size.`,
    );
}

function readBackgrounds(list: string, wordBits: number): number[] {
  return list.split(",").map((item) => {
    const text = item.trim();
    const word = /^[0-9a-f]{1,4}$/i.test(text) ? Number.parseInt(text, 16) : Number.NaN;
    if (!(word < 2 ** wordBits))
      throw usage(`--backgrounds takes hexadecimal words of ${wordBits} bits such as 0,5,3; got '${text}'.`);
    return word;
  });
}
