import { SizeTally } from "./size-tally.js";
import { meanOf } from "./statistics.js";
import { Weigher, weightingSettlingSeconds } from "./weighting.js";

/** Wow and flutter as ratios of the speed. */
export interface Flutter {
  /** Two-sigma, weighted; IEC 60386:1972 with amendment 1, AES6-2008. */
  readonly weightedPeakRatio: number;
  /** Two-sigma, 0.2 to 200 Hz, without weighting. */
  readonly unweightedPeakRatio: number;
  /** Effective value, weighted by the same curve; as the NAB and JIS meters read. */
  readonly weightedRmsRatio: number;
  /** Effective value without weighting. */
  readonly unweightedRmsRatio: number;
  /** Seconds that the readings were taken over. */
  readonly seconds: number;
}

/** The standards ask for a reading over at least so long. */
export const leastReadingSeconds = 5;
/** Width of the moving mean that is the speed from which flutter departs; it leaves 0.2 Hz and more untouched. */
const meanSeconds = 10;

/** Values worked on at once. */
const pieceLength = 65536;

/**
 * Wow and flutter from the departure of a speed from its mean (0 = the mean speed, 0.01 = 1 % fast), `rateHz` values a
 * second. The first seconds settle the weighting filter; a recording of less than 15 seconds is freed of its steady drift
 * only, a longer one of its moving mean. Undefined if it is shorter than `leastReadingSeconds`.
 */
export function measureFlutter(departure: Float32Array, rateHz: number): Flutter | undefined {
  const seconds = departure.length / rateHz;
  if (seconds < leastReadingSeconds) return undefined;
  const weigher = new Weigher(rateHz);
  const weighted = new SizeTally();
  let settling = Math.round(Math.min(weightingSettlingSeconds, seconds / 3) * rateHz);
  for (const piece of pieces(departure)) {
    weigher.run(piece);
    weighted.add(piece.subarray(Math.min(settling, piece.length)));
    settling = Math.max(0, settling - piece.length);
  }
  const unweighted = new SizeTally();
  let count = 0;
  for (const piece of flutterPieces(departure, rateHz)) {
    unweighted.add(piece);
    count += piece.length;
  }
  return {
    weightedPeakRatio: weighted.twoSigma(),
    unweightedPeakRatio: unweighted.twoSigma(),
    weightedRmsRatio: weighted.rootMeanSquare(),
    unweightedRmsRatio: unweighted.rootMeanSquare(),
    seconds: count / rateHz,
  };
}

/** Copies of a signal, piece by piece. */
function* pieces(signal: Float32Array): Generator<Float32Array> {
  for (let start = 0; start < signal.length; start += pieceLength) {
    yield signal.slice(start, start + pieceLength);
  }
}

/** The part of a departure that is flutter and not drift: from about 0.1 Hz upwards. */
function flutterPieces(departure: Float32Array, rateHz: number): Generator<Float32Array> {
  return departure.length / rateHz < 1.5 * meanSeconds
    ? withoutLine(departure)
    : withoutMovingMean(departure, rateHz);
}

/** Less the straight line that fits best. */
function* withoutLine(signal: Float32Array): Generator<Float32Array> {
  const { length } = signal;
  const mean = meanOf(signal);
  const middle = (length - 1) / 2;
  let above = 0;
  let below = 0;
  for (let i = 0; i < length; i += 1) {
    above += (i - middle) * ((signal[i] ?? 0) - mean);
    below += (i - middle) ** 2;
  }
  const slope = below > 0 ? above / below : 0;
  yield signal.map((value, i) => value - mean - slope * (i - middle));
}

/**
 * Less its mean under a raised cosine of `meanSeconds`; half of that is lost at each end. The raised cosine is worked out
 * from three running sums, of the signal and of the signal turned by one cycle a window: O(n).
 */
function* withoutMovingMean(signal: Float32Array, rateHz: number): Generator<Float32Array> {
  const half = Math.round((meanSeconds * rateHz) / 2);
  const width = 2 * half;
  const cosines = Float64Array.from({ length: width }, (_, i) => Math.cos((2 * Math.PI * i) / width));
  const sines = Float64Array.from({ length: width }, (_, i) => Math.sin((2 * Math.PI * i) / width));
  let plain = 0;
  let cosine = 0;
  let sine = 0;
  const add = (at: number, sign: number): void => {
    const value = sign * (signal[at] ?? 0);
    plain += value;
    // A window holds one whole cycle, so what leaves it has the angle that it came with.
    cosine += value * (cosines[at % width] ?? 0);
    sine += value * (sines[at % width] ?? 0);
  };
  for (let i = 0; i < width; i += 1) add(i, 1);
  const total = signal.length - width;
  for (let start = 0; start < total; start += pieceLength) {
    const piece = new Float32Array(Math.min(pieceLength, total - start));
    for (let i = 0; i < piece.length; i += 1) {
      const at = start + i;
      const middle = at + half;
      const turned = cosine * (cosines[middle % width] ?? 0) + sine * (sines[middle % width] ?? 0);
      piece[i] = (signal[middle] ?? 0) - (plain + turned) / width;
      add(at, -1);
      add(at + width, 1);
    }
    yield piece;
  }
}
