/** A byte as a decoder hears it, before anybody decides. */
export interface SoftByte {
  /** For each bit, lowest first: logarithm of how much likelier it is a 1 than a 0. */
  readonly soft: ArrayLike<number>;
  /** How much a framing bit speaks against there being a character, as a logarithm; far below 0 if none does. */
  readonly frameDoubt: number;
  readonly startSeconds: number;
  readonly endSeconds: number;
  /** Speed there, as a multiple of the nominal one. */
  readonly speedRatio: number;
  /** True if something other than a byte, or a leader, came before it. */
  readonly beginsRun: boolean;
}

/** Bytes in the order of the tape, in columns: an hour of tape holds some 400,000. */
export class SoftTape {
  private count = 0;
  private soft = new Float32Array(8 * 1024);
  private frameDoubts = new Float32Array(1024);
  private starts = new Float64Array(1024);
  private ends = new Float64Array(1024);
  private speeds = new Float32Array(1024);
  private runs = new Uint8Array(1024);
  private sources: Uint8Array | undefined;

  get length(): number {
    return this.count;
  }

  push(byte: SoftByte, source?: number): void {
    if (this.count === this.starts.length) this.grow();
    const at = this.count;
    for (let k = 0; k < 8; k += 1) this.soft[8 * at + k] = bounded(byte.soft[k] ?? 0);
    this.frameDoubts[at] = byte.frameDoubt;
    this.starts[at] = byte.startSeconds;
    this.ends[at] = byte.endSeconds;
    this.speeds[at] = byte.speedRatio;
    this.runs[at] = byte.beginsRun ? 1 : 0;
    if (source !== undefined) {
      this.sources ??= new Uint8Array(this.starts.length);
      this.sources[at] = source;
    }
    this.count += 1;
  }

  private grow(): void {
    const size = 2 * this.starts.length;
    const floats = (old: Float32Array, length: number): Float32Array<ArrayBuffer> => {
      const larger = new Float32Array(length);
      larger.set(old);
      return larger;
    };
    const doubles = (old: Float64Array): Float64Array<ArrayBuffer> => {
      const larger = new Float64Array(size);
      larger.set(old);
      return larger;
    };
    const small = (old: Uint8Array): Uint8Array<ArrayBuffer> => {
      const larger = new Uint8Array(size);
      larger.set(old);
      return larger;
    };
    this.soft = floats(this.soft, 8 * size);
    this.frameDoubts = floats(this.frameDoubts, size);
    this.starts = doubles(this.starts);
    this.ends = doubles(this.ends);
    this.speeds = floats(this.speeds, size);
    this.runs = small(this.runs);
    if (this.sources !== undefined) this.sources = small(this.sources);
  }

  /** Logarithm of how much likelier bit `bit` of a byte is a 1 than a 0. */
  bit(index: number, bit: number): number {
    return this.soft[8 * index + bit] ?? 0;
  }

  /** The likeliest value of a byte. */
  value(index: number): number {
    let value = 0;
    for (let k = 0; k < 8; k += 1) if (this.bit(index, k) > 0) value |= 1 << k;
    return value;
  }

  /** Probability that the likeliest value is wrong, or that there is no byte at all. */
  doubt(index: number): number {
    let right = 1 / (1 + Math.exp(this.frameDoubts[index] ?? 0));
    for (let k = 0; k < 8; k += 1) right /= 1 + Math.exp(-Math.abs(this.bit(index, k)));
    return 1 - right;
  }

  at(index: number): SoftByte {
    return {
      soft: this.soft.subarray(8 * index, 8 * index + 8),
      frameDoubt: this.frameDoubts[index] ?? 0,
      startSeconds: this.starts[index] ?? 0,
      endSeconds: this.ends[index] ?? 0,
      speedRatio: this.speeds[index] ?? 1,
      beginsRun: this.runs[index] === 1,
    };
  }

  startSeconds(index: number): number {
    return this.starts[index] ?? 0;
  }

  endSeconds(index: number): number {
    return this.ends[index] ?? 0;
  }

  speedRatio(index: number): number {
    return this.speeds[index] ?? 1;
  }

  beginsRun(index: number): boolean {
    return index === 0 || this.runs[index] === 1;
  }

  /** Number of the take that spoke loudest for a byte; undefined if there was one take. */
  source(index: number): number | undefined {
    return this.sources?.[index];
  }
}

/** The other values a byte may well have, likeliest first, each with its probability; at most `most`. */
export function alternatives(
  tape: SoftTape,
  index: number,
  most: number,
): { readonly value: number; readonly probability: number }[] {
  const first = tape.value(index);
  let right = 1;
  const bits = Array.from({ length: 8 }, (_, bit) => {
    const size = Math.abs(tape.bit(index, bit));
    right /= 1 + Math.exp(-size);
    return { bit, size };
  }).sort((a, b) => a.size - b.size);
  // Flips of the three least certain bits, alone and together: anything beyond is far less likely.
  const [a, b, c] = bits;
  if (a === undefined || b === undefined || c === undefined) return [];
  const flips = [[a], [b], [c], [a, b], [a, c], [b, c], [a, b, c]];
  return flips
    .map((flip) => ({
      value: flip.reduce((value, { bit }) => value ^ (1 << bit), first),
      probability: right * Math.exp(-flip.reduce((sum, { size }) => sum + size, 0)),
    }))
    .sort((x, y) => y.probability - x.probability || x.value - y.value)
    .slice(0, most);
}

/** Nothing is as certain as a clean recording makes it look. */
function bounded(value: number): number {
  return Number.isFinite(value) ? Math.max(-60, Math.min(60, value)) : 0;
}
