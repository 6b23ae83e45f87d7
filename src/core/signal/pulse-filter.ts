import { blackman } from "./fir.js";

/**
 * What a signal of pulses is cleaned with before its crossings are looked for: its own mean over some pulses is taken
 * away, which removes offset and hum, and noise faster than a pulse is smoothed. Both are symmetric in time, so that no
 * crossing moves against its neighbours, as a usual high-pass filter would make it.
 */
export class PulseFilter {
  private readonly weights: Float64Array;
  private readonly reach: number;
  private tail: Float32Array;

  /** Lengths in samples: of the shortest half-wave, and of the longest one. */
  constructor(shortest: number, longest: number) {
    const smooth = Math.max(1, Math.round(0.45 * shortest));
    const mean = Math.max(smooth + 1, Math.round(5 * longest));
    this.reach = mean;
    this.weights = new Float64Array(2 * mean + 1);
    const add = (reach: number, sign: number): void => {
      const taps = Float64Array.from({ length: 2 * reach + 1 }, (_, k) =>
        blackman((k - reach) / (reach + 1)),
      );
      const sum = taps.reduce((total, tap) => total + tap, 0);
      for (const [k, tap] of taps.entries()) {
        const at = mean - reach + k;
        this.weights[at] = (this.weights[at] ?? 0) + (sign * tap) / sum;
      }
    };
    add(smooth, 1);
    add(mean, -1);
    this.tail = new Float32Array(mean);
  }

  /** Outputs whose whole neighbourhood is known; output k lies at input k. */
  push(samples: Float32Array): Float32Array {
    const { weights, reach } = this;
    const x = new Float32Array(this.tail.length + samples.length);
    x.set(this.tail);
    x.set(samples, this.tail.length);
    const count = Math.max(0, x.length - 2 * reach);
    const out = new Float32Array(count);
    for (let i = 0; i < count; i += 1) {
      let sum = (weights[reach] ?? 0) * (x[i + reach] ?? 0);
      for (let k = 1, low = i + reach - 1, high = i + reach + 1; k <= reach; k += 1, low -= 1, high += 1) {
        sum += (weights[reach + k] ?? 0) * ((x[low] ?? 0) + (x[high] ?? 0));
      }
      out[i] = Math.abs(sum) < 1e9 ? sum : 0;
    }
    this.tail = x.slice(count);
    return out;
  }

  /** The last outputs; silence is taken to follow. */
  finish(): Float32Array {
    return this.push(new Float32Array(this.reach));
  }
}
