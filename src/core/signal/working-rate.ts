import { Doubler, Halver, halfBandPairs } from "./fir.js";

/** Bounds of what is to be kept of a recording. */
export interface Band {
  /** 0 keeps everything. */
  readonly lowestHz: number;
  readonly highestHz: number;
}

/** One step of the way to the working rate. */
interface RateStep {
  push(samples: Float32Array): Float32Array;
  finish(): Float32Array;
}

/**
 * Brings a recording of any rate to one that is just enough for a band, by halving it as often as the band allows, or,
 * where the rate is too low to interpolate well, by doubling it; then what lies below the band is taken out. All filters
 * but the last are linear in phase, and the output is aligned with the input: sample k is at k / `rateHz` seconds.
 */
export class WorkingRate {
  readonly rateHz: number;
  private readonly steps: RateStep[] = [];
  private readonly highPass: HighPass | undefined;

  constructor(sampleRateHz: number, band: Band) {
    // Interpolation between samples wants the band to end well below half the rate.
    const wantedHz = 2.6 * band.highestHz;
    let rateHz = sampleRateHz;
    while (rateHz >= 2 * wantedHz) {
      this.steps.push(new Halver(halfBandPairs(band.highestHz / rateHz)));
      rateHz /= 2;
    }
    while (rateHz < wantedHz && this.steps.length < 4) {
      this.steps.push(new Doubler());
      rateHz *= 2;
    }
    this.rateHz = rateHz;
    this.highPass = band.lowestHz > 0 ? new HighPass(band.lowestHz / rateHz) : undefined;
  }

  /** What can be worked out of the input so far; the input is left as it is. */
  push(samples: Float32Array): Float32Array {
    let out = this.steps.length === 0 ? samples.slice() : samples;
    for (const step of this.steps) out = step.push(out);
    return this.highPass?.run(out) ?? out;
  }

  /** The rest, at the end of the recording. */
  finish(): Float32Array {
    let out: Float32Array = new Float32Array(0);
    for (const step of this.steps) {
      const pushed = step.push(out);
      const last = step.finish();
      const joined = new Float32Array(pushed.length + last.length);
      joined.set(pushed);
      joined.set(last, pushed.length);
      out = joined;
    }
    return this.highPass?.run(out) ?? out;
  }
}

/** Second-order Butterworth high-pass; bilinear transform with the edge kept in place. */
class HighPass {
  private readonly gain: number;
  private readonly a1: number;
  private readonly a2: number;
  private x1 = 0;
  private x2 = 0;
  private y1 = 0;
  private y2 = 0;

  constructor(edgeRatio: number) {
    const k = Math.tan(Math.PI * Math.min(0.45, edgeRatio));
    const norm = 1 / (1 + Math.SQRT2 * k + k * k);
    this.gain = norm;
    this.a1 = 2 * (k * k - 1) * norm;
    this.a2 = (1 - Math.SQRT2 * k + k * k) * norm;
  }

  run(samples: Float32Array): Float32Array {
    const { gain, a1, a2 } = this;
    let { x1, x2, y1, y2 } = this;
    for (let i = 0; i < samples.length; i += 1) {
      const raw = samples[i] ?? 0;
      // A float file can hold anything; what is no number counts as silence.
      const x = Math.abs(raw) < 1e6 ? raw : 0;
      const y = gain * (x - 2 * x1 + x2) - a1 * y1 - a2 * y2;
      samples[i] = y;
      x2 = x1;
      x1 = x;
      y2 = y1;
      // Denormal numbers after the end of a sound would slow everything down.
      y1 = Math.abs(y) < 1e-15 ? 0 : y;
    }
    this.x1 = x1;
    this.x2 = x2;
    this.y1 = y1;
    this.y2 = y2;
    return samples;
  }
}
