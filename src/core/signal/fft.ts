/**
 * A transform of one size, for short stretches: radix 2, decimation in time.
 * Source: J. W. Cooley, J. W. Tukey, Math. Comp. 19, 1965, pp. 297-301.
 */
export class Fft {
  readonly size: number;
  private readonly cosines: Float64Array;
  private readonly sines: Float64Array;
  private readonly reversed: Uint32Array;

  /** Throws `RangeError` unless `size` is a power of two from 2. */
  constructor(size: number) {
    if (!Number.isInteger(size) || size < 2 || (size & (size - 1)) !== 0) {
      throw new RangeError(`size must be a power of two from 2, got ${size}`);
    }
    this.size = size;
    this.cosines = Float64Array.from({ length: size / 2 }, (_, i) => Math.cos((2 * Math.PI * i) / size));
    this.sines = Float64Array.from({ length: size / 2 }, (_, i) => -Math.sin((2 * Math.PI * i) / size));
    this.reversed = new Uint32Array(size);
    const bits = Math.log2(size);
    for (let i = 0; i < size; i += 1) {
      let mirrored = 0;
      for (let b = 0; b < bits; b += 1) mirrored |= ((i >> b) & 1) << (bits - 1 - b);
      this.reversed[i] = mirrored >>> 0;
    }
  }

  /** Transforms in place: X[k] = Σ x[n] exp(-2πi kn / size). Both arrays hold `size` values. */
  run(re: Float64Array, im: Float64Array): void {
    const { size, reversed } = this;
    if (re.length !== size || im.length !== size) {
      throw new RangeError(`arrays must hold ${size} values, got ${re.length} and ${im.length}`);
    }
    for (let i = 0; i < size; i += 1) {
      const j = reversed[i] ?? 0;
      if (j <= i) continue;
      const real = re[i] ?? 0;
      const imaginary = im[i] ?? 0;
      re[i] = re[j] ?? 0;
      im[i] = im[j] ?? 0;
      re[j] = real;
      im[j] = imaginary;
    }
    for (let span = 1; span < size; span *= 2) {
      const turn = size / (2 * span);
      for (let start = 0; start < size; start += 2 * span) this.butterflies(re, im, start, span, turn);
    }
  }

  private butterflies(re: Float64Array, im: Float64Array, start: number, span: number, turn: number): void {
    const { cosines, sines } = this;
    for (let k = 0; k < span; k += 1) {
      const c = cosines[k * turn] ?? 0;
      const s = sines[k * turn] ?? 0;
      const low = start + k;
      const high = low + span;
      const a = re[high] ?? 0;
      const b = im[high] ?? 0;
      const real = a * c - b * s;
      const imaginary = a * s + b * c;
      re[high] = (re[low] ?? 0) - real;
      im[high] = (im[low] ?? 0) - imaginary;
      re[low] = (re[low] ?? 0) + real;
      im[low] = (im[low] ?? 0) + imaginary;
    }
  }
}
