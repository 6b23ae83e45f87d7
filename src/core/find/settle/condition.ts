import { putValue } from "./planes.js";
import { Level, wrongFlag } from "./value.js";

/** Condition of a part's supply as far as its function goes. */
export const Supply = { good: 0, rippled: 1, bad: 2, absent: 3 } as const;

/** Internal states a fault can give a part. */
export interface PartFault {
  /** Data bits that are lost or changed; -1 stands for all. */
  readonly lostBits?: readonly number[];
  /** Only some cells are lost: accesses that merely need "most" of the memory still succeed. */
  readonly someCells?: boolean;
  /** Everything it puts out is wrong though it moves as usual. */
  readonly improper?: boolean;
  /** Its outputs stand still. */
  readonly silent?: boolean;
}

/**
 * What becomes of an output's value, in planes, when its part is ill supplied or bad inside.
 * A released output stays released.
 */
export function spoil(
  value: Int32Array,
  supply: number,
  fault: PartFault | undefined,
  allPhases: number,
): void {
  if (supply === Supply.absent) putValue(value, 0, Level.floating | wrongFlag, allPhases);
  const driven = (value[0] as number) | (value[1] as number);
  if (supply === Supply.bad || fault?.silent === true) putValue(value, 0, Level.steady | wrongFlag, driven);
  if (supply === Supply.rippled || fault?.improper === true) value[5] = (value[5] as number) | driven;
}
