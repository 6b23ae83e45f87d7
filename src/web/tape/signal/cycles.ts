/** Calls back for every whole cycle: the sample it ends at, with its fraction, and its length in samples. */
export type OnCycle = (end: number, length: number) => void;

/**
 * Measures the cycles of a signal as it comes: from one rising crossing of its middle to the next, the crossing placed
 * between samples by a straight line. Whole cycles do not change when clipping makes halves unequal. The middle and the
 * height follow the signal; a crossing counts only after the signal has been well below.
 */
export class CycleFinder {
  private readonly slow: number;
  private readonly fall: number;
  private middle = 0;
  private height = 0;
  private before = 0;
  private armed = false;
  private last = Number.NaN;
  private at = 0;

  /** `sampleRateHz` sets how fast middle (20 ms) and height (30 ms) follow. */
  constructor(sampleRateHz: number, start = 0) {
    this.slow = 1 - Math.exp(-1 / (0.02 * sampleRateHz));
    this.fall = Math.exp(-1 / (0.03 * sampleRateHz));
    this.at = start;
  }

  push(samples: Float32Array, onCycle: OnCycle): void {
    let { middle, height, before, armed, last, at } = this;
    const { slow, fall } = this;
    for (let i = 0; i < samples.length; i += 1, at += 1) {
      const sample = samples[i] ?? 0;
      middle += slow * (sample - middle);
      const value = sample - middle;
      const size = value < 0 ? -value : value;
      height = size > height ? size : height * fall;
      if (value < -0.25 * height && height > quietest) armed = true;
      else if (armed && value >= 0) {
        armed = false;
        const crossing = at - value / (value - before || 1);
        if (!Number.isNaN(last)) onCycle(crossing, crossing - last);
        last = crossing;
      }
      before = value;
    }
    Object.assign(this, { middle, height, before, armed, last, at });
  }
}

/** Below this the signal is taken for silence: 70 dB below full scale. */
const quietest = 10 ** (-70 / 20);
