/** One operation of a march element: read and compare, or write, the background or its complement. */
export interface MarchOperation {
  readonly kind: "read" | "write";
  /** False: the background itself (`r0`, `w0`); true: its complement (`r1`, `w1`). */
  readonly inverted: boolean;
}

/** Order in which an element visits the addresses; `any` may be either. */
export type MarchOrder = "up" | "down" | "any";

/** Operations done at every address before the next one is visited. */
export interface MarchSweep {
  readonly kind: "sweep";
  readonly order: MarchOrder;
  /** At least one. */
  readonly operations: readonly MarchOperation[];
}

/** Waiting without touching the memory, so that a leaking cell can lose its value. */
export interface MarchPause {
  readonly kind: "pause";
  /** Absent where the notation gives no time. */
  readonly seconds?: number;
}

export type MarchElement = MarchSweep | MarchPause;

/** A march test: its elements in the order in which they are done. */
export interface MarchTest {
  readonly elements: readonly MarchElement[];
}

/** Operations the test does at each address, for one background: the `10` of `10n`. */
export function operationsPerAddress({ elements }: MarchTest): number {
  return elements.reduce(
    (sum, element) => sum + (element.kind === "sweep" ? element.operations.length : 0),
    0,
  );
}

/**
 * Operations the test does in all: operations per address × addresses × backgrounds.
 * Throws `RangeError` unless both counts are positive whole numbers.
 */
export function operationCount(test: MarchTest, addresses: number, backgrounds = 1): number {
  for (const [name, count] of [
    ["addresses", addresses],
    ["backgrounds", backgrounds],
  ] as const) {
    if (!Number.isInteger(count) || count < 1)
      throw new RangeError(`${name} must be a positive whole number, got ${count}`);
  }
  return operationsPerAddress(test) * addresses * backgrounds;
}

/** Seconds of all pauses that say how long they are, together. */
export function pauseSeconds({ elements }: MarchTest): number {
  return elements.reduce((sum, element) => sum + (element.kind === "pause" ? (element.seconds ?? 0) : 0), 0);
}
