/** sin(πx) / (πx), 1 at 0. */
export function sinc(x: number): number {
  return Math.abs(x) < 1e-9 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
}

/** Blackman window over -1 to 1, 0 outside. */
export function blackman(x: number): number {
  if (Math.abs(x) >= 1) return 0;
  return 0.42 + 0.5 * Math.cos(Math.PI * x) + 0.08 * Math.cos(2 * Math.PI * x);
}

/**
 * Halves the sample rate, block by block, with a half-band filter: every second tap but the middle one is zero, the
 * middle one is a half, and the gain at a quarter of the rate is a half. `pairs` holds the taps beside the middle one, at
 * distances 1, 3, 5 and so on. Output k lies at input 2 k.
 */
export class Halver {
  private readonly pairs: Float64Array;
  private readonly reach: number;
  private tail: Float32Array;
  /** Index in `tail` of the middle of the next output. */
  private next: number;

  constructor(pairs: Float64Array) {
    this.pairs = pairs;
    this.reach = 2 * pairs.length - 1;
    this.tail = new Float32Array(this.reach);
    this.next = this.reach;
  }

  /** Outputs whose whole neighbourhood is known now. */
  push(samples: Float32Array): Float32Array {
    const { pairs, reach } = this;
    const x = new Float32Array(this.tail.length + samples.length);
    x.set(this.tail);
    x.set(samples, this.tail.length);
    const count = Math.max(0, Math.ceil((x.length - reach - this.next) / 2));
    const out = new Float32Array(count);
    const [first = 0, second = 0] = pairs;
    let at = this.next;
    for (let i = 0; i < count; i += 1, at += 2) {
      let sum = 0.5 * (x[at] ?? 0) + first * ((x[at - 1] ?? 0) + (x[at + 1] ?? 0));
      sum += second * ((x[at - 3] ?? 0) + (x[at + 3] ?? 0));
      for (let k = 2, away = 5; k < pairs.length; k += 1, away += 2) {
        sum += (pairs[k] ?? 0) * ((x[at - away] ?? 0) + (x[at + away] ?? 0));
      }
      out[i] = sum;
    }
    const keep = Math.min(x.length, Math.max(0, at - reach));
    this.tail = x.slice(keep);
    this.next = at - keep;
    return out;
  }

  /** The last outputs; silence is taken to follow. */
  finish(): Float32Array {
    return this.push(new Float32Array(this.reach));
  }
}

/**
 * Taps of a `Halver` that keeps what lies below `passRatio` (of the rate before, under 0.25) and takes out what would
 * fold onto it: a windowed ideal filter, as long as that asks for.
 */
export function halfBandPairs(passRatio: number): Float64Array {
  if (!(passRatio > 0 && passRatio < 0.25)) {
    throw new RangeError(`passRatio must lie between 0 and 0.25, got ${passRatio}`);
  }
  const transition = 0.5 - 2 * passRatio;
  const count = Math.max(2, Math.min(40, Math.ceil((1.9 / transition + 1) / 2)));
  const reach = 2 * count;
  const pairs = new Float64Array(count);
  let sum = 0;
  for (let k = 0; k < count; k += 1) {
    const away = 2 * k + 1;
    pairs[k] = 0.5 * sinc(away / 2) * blackman(away / reach);
    sum += 2 * (pairs[k] ?? 0);
  }
  return pairs.map((tap) => (tap * 0.5) / sum);
}

/** Doubles the sample rate: samples 2 k are the old ones, those between are interpolated. */
export class Doubler {
  private readonly taps: Float64Array;
  private tail: Float32Array;
  private next: number;

  constructor() {
    const reach = 16;
    this.taps = Float64Array.from(
      { length: reach },
      (_, k) => sinc(k + 0.5) * blackman((k + 0.5) / (reach + 0.5)),
    );
    const sum = this.taps.reduce((total, tap) => total + 2 * tap, 0);
    this.taps = this.taps.map((tap) => tap / sum);
    this.tail = new Float32Array(reach);
    this.next = reach;
  }

  push(samples: Float32Array): Float32Array {
    const { taps } = this;
    const x = new Float32Array(this.tail.length + samples.length);
    x.set(this.tail);
    x.set(samples, this.tail.length);
    const count = Math.max(0, x.length - taps.length - this.next);
    const out = new Float32Array(2 * count);
    for (let i = 0, at = this.next; i < count; i += 1, at += 1) {
      let sum = 0;
      for (let k = 0; k < taps.length; k += 1)
        sum += (taps[k] ?? 0) * ((x[at - k] ?? 0) + (x[at + 1 + k] ?? 0));
      out[2 * i] = x[at] ?? 0;
      out[2 * i + 1] = sum;
    }
    const keep = Math.max(0, this.next + count - taps.length);
    this.tail = x.slice(keep);
    this.next += count - keep;
    return out;
  }

  finish(): Float32Array {
    return this.push(new Float32Array(this.taps.length));
  }
}
