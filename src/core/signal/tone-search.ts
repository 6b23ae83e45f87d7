import { Fft } from "./fft.js";

/** Samples of a stretch that is searched for tones. */
export const searchSamples = 512;

/** A pair of tones, one an octave above the other, found in a stretch. */
export interface FoundTones {
  /** Frequency of the higher tone. */
  readonly highHz: number;
  /** Power of the lines over what lies around them; above about 8 it is hardly chance. */
  readonly prominence: number;
}

/**
 * Looks for a tone and its lower octave, one or both, near a nominal frequency. Data keyed in whole cycles keeps a line
 * at both tones, whatever the bits are, so this finds the speed of a recording without knowing where a bit begins.
 */
export class ToneSearch {
  private readonly fft = new Fft(searchSamples);
  private readonly re = new Float64Array(searchSamples);
  private readonly im = new Float64Array(searchSamples);
  private readonly power = new Float64Array(searchSamples / 2);
  private readonly window: Float64Array;
  private readonly firstBin: number;
  private readonly lastBin: number;
  private readonly binHz: number;

  /** `reachRatio` is how far the speed may be off, as 0.25. */
  constructor(rateHz: number, nominalHighHz: number, reachRatio: number) {
    this.binHz = rateHz / searchSamples;
    this.window = Float64Array.from(
      { length: searchSamples },
      (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / searchSamples),
    );
    this.firstBin = Math.floor((nominalHighHz * (1 - reachRatio)) / this.binHz);
    this.lastBin = Math.min(
      searchSamples / 2 - 2,
      Math.ceil((nominalHighHz * (1 + reachRatio)) / this.binHz),
    );
  }

  /** The strongest pair in `samples` from `start` on; undefined in silence. */
  find(samples: Float32Array, start: number): FoundTones | undefined {
    const { fft, re, im, power, window, firstBin, lastBin } = this;
    for (let i = 0; i < searchSamples; i += 1) {
      re[i] = (samples[start + i] ?? 0) * (window[i] ?? 0);
      im[i] = 0;
    }
    fft.run(re, im);
    let sum = 0;
    const lowest = Math.floor(firstBin / 2);
    for (let i = 0; i < power.length; i += 1) {
      const value = (re[i] ?? 0) ** 2 + (im[i] ?? 0) ** 2;
      power[i] = value;
      if (i >= lowest && i <= lastBin) sum += value;
    }
    if (!(sum > 0)) return undefined;
    let best = -1;
    let bestBin = firstBin;
    for (let bin = firstBin; bin <= lastBin; bin += 1) {
      const score = (power[bin] ?? 0) + this.octaveBelow(bin);
      if (score > best) {
        best = score;
        bestBin = bin;
      }
    }
    // The lower line says half as precisely where the pair is; it decides only where it is much the stronger one.
    const lower = Math.round(bestBin / 2);
    const useLower = (power[bestBin] ?? 0) < 0.25 * this.octaveBelow(bestBin);
    const highHz = useLower ? 2 * this.peak(this.localTop(lower)) : this.peak(this.localTop(bestBin));
    return { highHz: highHz * this.binHz, prominence: (best * (lastBin - lowest + 1)) / sum };
  }

  private octaveBelow(bin: number): number {
    const { power } = this;
    const half = bin >> 1;
    return bin % 2 === 0 ? (power[half] ?? 0) : Math.max(power[half] ?? 0, power[half + 1] ?? 0);
  }

  private localTop(bin: number): number {
    const { power } = this;
    let top = bin;
    for (const near of [bin - 1, bin + 1]) if ((power[near] ?? 0) > (power[top] ?? 0)) top = near;
    return top;
  }

  /** Place of a line between bins: parabola through the logarithms of three powers. */
  private peak(bin: number): number {
    const { power } = this;
    const [a, b, c] = [bin - 1, bin, bin + 1].map((at) => Math.log((power[at] ?? 0) + 1e-30));
    if (a === undefined || b === undefined || c === undefined) return bin;
    const bend = a - 2 * b + c;
    return bend < 0 ? bin + Math.max(-0.5, Math.min(0.5, (0.5 * (a - c)) / bend)) : bin;
  }
}
