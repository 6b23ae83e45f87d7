import { Fft } from "../signal/fft.js";
import { meanOf, medianOf } from "./statistics.js";

/** Flutter by frequency. */
export interface FlutterSpectrum {
  readonly binHz: number;
  /** Nearest that two flutters can lie and be told apart, about: one turn in the stretch that was looked at. */
  readonly resolutionHz: number;
  /** Value k: greatest departure of a sinusoidal flutter of k × `binHz`, as a ratio of the speed. */
  readonly depthRatio: Float64Array;
}

/** Flutter of one frequency that stands out. */
export interface FlutterPeak {
  readonly hz: number;
  /** Greatest departure, as a ratio of the speed. */
  readonly depthRatio: number;
}

const lowestHz = 0.2;
const highestHz = 200;
/** Bins this fine part the turning of most parts of a deck. */
const wantedBinHz = 0.06;

/**
 * Spectrum of a departure from the mean speed at `rateHz`, up to 200 Hz: the mean power of overlapping stretches under a
 * raised cosine. Source: P. D. Welch, IEEE Trans. Audio Electroacoustics 15, 1967, pp. 70-73. A signal shorter than a
 * stretch is looked at once, with silence after it.
 */
export function flutterSpectrum(departure: Float32Array, rateHz: number): FlutterSpectrum {
  const size = 2 ** Math.ceil(Math.log2(rateHz / wantedBinHz));
  const fft = new Fft(size);
  const length = Math.min(size, departure.length);
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  const binHz = rateHz / size;
  const power = new Float64Array(Math.min(size / 2, Math.floor(highestHz / binHz) + 1));
  let stretches = 0;
  for (let start = 0; start + length <= departure.length && length > 0; start += Math.ceil(length / 2)) {
    re.fill(0);
    im.fill(0);
    const mean = meanOf(departure.subarray(start, start + length));
    for (let i = 0; i < length; i += 1) {
      re[i] = ((departure[start + i] ?? 0) - mean) * (0.5 - 0.5 * Math.cos((2 * Math.PI * i) / length));
    }
    fft.run(re, im);
    for (let k = 0; k < power.length; k += 1)
      power[k] = (power[k] ?? 0) + (re[k] ?? 0) ** 2 + (im[k] ?? 0) ** 2;
    stretches += 1;
  }
  // A sine of depth A gives A × length / 4 in its middle bin.
  const depthRatio = power.map((value) =>
    stretches === 0 ? 0 : (4 / length) * Math.sqrt(value / stretches),
  );
  return { binHz, resolutionHz: rateHz / Math.max(1, length), depthRatio };
}

/** Peaks stand out from their surroundings by this much. */
const prominence = 3;
/** What is smaller is of no interest, whatever stands around it. */
const leastDepthRatio = 2e-5;

/** The window of the transform gives every line skirts: so near to it and so small. */
const skirtWidths = 6;
const skirtShare = 0.04;

/**
 * The `most` greatest peaks of a spectrum, the greatest first: local maxima that stand out from the median of the bins
 * around them. Place and height between bins come from a parabola through the logarithms of three values.
 */
export function findPeaks({ binHz, resolutionHz, depthRatio }: FlutterSpectrum, most = 12): FlutterPeak[] {
  const found: FlutterPeak[] = [];
  for (let k = Math.max(2, Math.ceil(lowestHz / binHz)); k < depthRatio.length - 2; k += 1) {
    const value = depthRatio[k] ?? 0;
    const before = depthRatio[k - 1] ?? 0;
    const after = depthRatio[k + 1] ?? 0;
    if (value < leastDepthRatio || value <= before || value < after) continue;
    const reach = Math.max(12, Math.round(0.15 * k));
    const floor = medianOf([...depthRatio.subarray(Math.max(0, k - reach), k + reach + 1)]);
    if (value < prominence * floor) continue;
    const [a, b, c] = [Math.log(before + 1e-30), Math.log(value), Math.log(after + 1e-30)];
    const bend = a - 2 * b + c;
    const shift = bend < 0 ? Math.max(-0.5, Math.min(0.5, (0.5 * (a - c)) / bend)) : 0;
    found.push({ hz: (k + shift) * binHz, depthRatio: Math.exp(b - 0.25 * (a - c) * shift) });
  }
  found.sort((p, q) => q.depthRatio - p.depthRatio);
  const isSkirt = ({ hz, depthRatio: depth }: FlutterPeak): boolean =>
    found.some(
      (other) =>
        depth < skirtShare * other.depthRatio &&
        Math.abs(hz - other.hz) < skirtWidths * resolutionHz &&
        hz !== other.hz,
    );
  return found.filter((peak) => !isSkirt(peak)).slice(0, most);
}
