import { meanOf } from "./statistics.js";

/** Errors of a tape's speed as ratios: 0.01 is one per cent fast. */
export interface SpeedError {
  /** Mean of the whole reading. */
  readonly meanRatio: number;
  /** Mean of the first, middle and last stretch, of five seconds or a third of the reading if that is shorter. */
  readonly startRatio: number;
  readonly middleRatio: number;
  readonly endRatio: number;
}

/** The tones that speed is measured with: IEC 60386 and, in North America and Japan, NAB and JIS. */
export const referenceTonesHz = [3150, 3000] as const;

/** Error of the speed at which a tone of `toneHz` is played back as `measuredHz`: measured / nominal - 1. */
export function speedErrorRatio(measuredHz: number, toneHz: number): number {
  return measuredHz / toneHz - 1;
}

/** Which tone a reading means. */
export interface ToneGuess {
  readonly toneHz: number;
  /** The other tone that it could be, if a deck may well be so far off; it has to be asked then. */
  readonly otherHz?: number;
}

/** Speed errors beyond this are rare enough to choose the nearer tone without asking. */
const plausibleErrorRatio = 0.04;

/** The reference tone nearer to a measured frequency, by ratio, and the other one where that is likely too. */
export function guessTone(measuredHz: number): ToneGuess {
  const [near, far] = [...referenceTonesHz].sort(
    (a, b) => Math.abs(Math.log(measuredHz / a)) - Math.abs(Math.log(measuredHz / b)),
  );
  if (near === undefined || far === undefined) throw new RangeError("there are two reference tones");
  return Math.abs(speedErrorRatio(measuredHz, far)) <= plausibleErrorRatio
    ? { toneHz: near, otherHz: far }
    : { toneHz: near };
}

const stretchSeconds = 5;

/**
 * Errors of speed from the frequency of a tone, `rateHz` values a second, each given as its distance from `centreHz`.
 * Throws `RangeError` for an empty reading.
 */
export function measureSpeed(
  offsetHz: Float32Array,
  rateHz: number,
  centreHz: number,
  toneHz: number,
): SpeedError {
  const { length } = offsetHz;
  if (length === 0) throw new RangeError("a reading needs at least one value, got 0");
  const stretch = Math.max(1, Math.min(Math.round(stretchSeconds * rateHz), Math.floor(length / 3)));
  const middle = Math.floor((length - stretch) / 2);
  const error = (start: number, end: number): number =>
    speedErrorRatio(centreHz + meanOf(offsetHz.subarray(start, end)), toneHz);
  return {
    meanRatio: error(0, length),
    startRatio: error(0, stretch),
    middleRatio: error(middle, middle + stretch),
    endRatio: error(length - stretch, length),
  };
}
