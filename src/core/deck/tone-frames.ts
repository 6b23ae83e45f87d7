import { Fft } from "../signal/fft.js";

/** The strongest tone of a short stretch of one or two channels. */
export interface ToneFrame {
  /** Middle of the stretch. */
  readonly seconds: number;
  readonly hz: number;
  /** Amplitude in each channel, full scale 1. */
  readonly amplitudes: readonly number[];
  /** Share of the tone in the power above 100 Hz, in the channel where it is purer: 1 for a tone, near 0 for noise. */
  readonly purity: number;
  /** By how much the left channel is ahead of the right one, -π to π; undefined for one channel. */
  readonly aheadRadians?: number;
  /** 0 to 1: how steadily the channels keep that angle; undefined for one channel. */
  readonly coherence?: number;
}

/** Power of a stretch by frequency, the mean of the channels. */
export interface PowerSpectrum {
  readonly binHz: number;
  /** Value k at k × `binHz`: half the squared amplitude of a sine there, spread over the bins of its window. */
  readonly power: Float64Array;
}

/** Tones below this are hum and no test tones. */
const lowestToneHz = 100;
/** Half the width of a tone with its flutter, as a share of its frequency, and in bins of the window. */
const toneWidthRatio = 0.006;
const toneWidthBins = 4;

/**
 * Looks at stretches of about a third of a second through a raised-cosine window. Both channels go through one complex
 * transform and are parted by symmetry: a real signal's spectrum mirrors into its conjugate.
 */
export class ToneLens {
  /** Samples of a stretch. */
  readonly size: number;
  private readonly rateHz: number;
  private readonly fft: Fft;
  private readonly window: Float64Array;
  private readonly re: Float64Array;
  private readonly im: Float64Array;
  private readonly left: Float64Array;
  private readonly right: Float64Array;

  /** `size`, a power of two, is chosen from the rate if absent. */
  constructor(rateHz: number, size: number = 2 ** Math.round(Math.log2(rateHz / 3))) {
    this.size = size;
    this.rateHz = rateHz;
    this.fft = new Fft(size);
    this.window = Float64Array.from(
      { length: size },
      (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / size),
    );
    this.re = new Float64Array(size);
    this.im = new Float64Array(size);
    this.left = new Float64Array(size / 2);
    this.right = new Float64Array(size / 2);
  }

  /** Width of a bin. */
  get binHz(): number {
    return this.rateHz / this.size;
  }

  /**
   * Looks at `size` samples of one or two channels from `start`; undefined in silence. Adds the mean power of the
   * channels to `sum`, which holds size / 2 values, if one is given.
   */
  look(channels: readonly Float32Array[], start: number, sum?: Float64Array): ToneFrame | undefined {
    const { size, re, im, window, left: leftPower, right: rightPower } = this;
    const [first, second] = channels;
    for (let i = 0; i < size; i += 1) {
      re[i] = (first?.[start + i] ?? 0) * (window[i] ?? 0);
      im[i] = (second?.[start + i] ?? 0) * (window[i] ?? 0);
    }
    this.fft.run(re, im);
    // A sine of amplitude A gives A × size / 4 in its middle bin, and 3/2 of that power in all its bins together.
    const scale = 2 / (0.375 * size * size);
    let totalLeft = 0;
    let totalRight = 0;
    let best = -1;
    let top = 0;
    const from = Math.max(1, Math.ceil(lowestToneHz / this.binHz));
    for (let k = 1; k < size / 2; k += 1) {
      const a = re[k] ?? 0;
      const b = im[k] ?? 0;
      const c = re[size - k] ?? 0;
      const d = im[size - k] ?? 0;
      const l = (((a + c) ** 2 + (b - d) ** 2) / 4) * scale;
      const r = (((b + d) ** 2 + (c - a) ** 2) / 4) * scale;
      leftPower[k] = l;
      rightPower[k] = r;
      if (sum !== undefined) sum[k] = (sum[k] ?? 0) + (second === undefined ? l : (l + r) / 2);
      if (k < from) continue;
      totalLeft += l;
      totalRight += r;
      if (l + r > best) {
        best = l + r;
        top = k;
      }
    }
    if (!(totalLeft + totalRight > 1e-14)) return undefined;
    const seconds = (start + size / 2) / this.rateHz;
    return this.frameAt(top, [totalLeft, totalRight], channels.length > 1, seconds);
  }

  private frameAt(
    top: number,
    [totalLeft, totalRight]: readonly [number, number],
    isStereo: boolean,
    seconds: number,
  ): ToneFrame {
    const { size, re, im, left, right } = this;
    const width = toneWidthBins + Math.ceil(toneWidthRatio * top);
    let l = 0;
    let r = 0;
    let moment = 0;
    let crossRe = 0;
    let crossIm = 0;
    for (let k = Math.max(1, top - width); k <= Math.min(size / 2 - 1, top + width); k += 1) {
      const a = re[k] ?? 0;
      const b = im[k] ?? 0;
      const c = re[size - k] ?? 0;
      const d = im[size - k] ?? 0;
      const lRe = (a + c) / 2;
      const lIm = (b - d) / 2;
      const rRe = (b + d) / 2;
      const rIm = (c - a) / 2;
      crossRe += lRe * rRe + lIm * rIm;
      crossIm += lIm * rRe - lRe * rIm;
      l += left[k] ?? 0;
      r += right[k] ?? 0;
      moment += k * ((left[k] ?? 0) + (right[k] ?? 0));
    }
    const scale = 2 / (0.375 * size * size);
    const frame = {
      seconds,
      hz: (moment / (l + r)) * this.binHz,
      purity: Math.max(shareOf(l, totalLeft, l + r), shareOf(r, totalRight, l + r)),
      amplitudes: isStereo ? [Math.sqrt(2 * l), Math.sqrt(2 * r)] : [Math.sqrt(2 * l)],
    };
    if (!isStereo) return frame;
    const coherence = l > 0 && r > 0 ? (Math.hypot(crossRe, crossIm) * scale) / Math.sqrt(l * r) : 0;
    return { ...frame, aheadRadians: Math.atan2(crossIm, crossRe), coherence: Math.min(1, coherence) };
  }
}

/** Share of a tone in its channel; a channel in which there is next to nothing of the tone has no say. */
function shareOf(tone: number, total: number, both: number): number {
  return tone > 0.01 * both ? tone / total : 0;
}
