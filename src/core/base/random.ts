/** A seeded source of random numbers: the same seed gives the same sequence everywhere. */
export interface Random {
  /** Uniform in [0, 1), 32 bits of resolution. */
  next(): number;
  /** Uniform integer in [0, limit). Throws `RangeError` unless `limit` is a positive integer. */
  below(limit: number): number;
  /** Index drawn in proportion to `weights` (non-negative, not all zero). */
  weighted(weights: ArrayLike<number>): number;
}

/**
 * sfc32 seeded through splitmix32.
 * Source: C. Doty-Humphrey, PractRand (public domain generator); mixing constants of splitmix32 as commonly published.
 */
export function createRandom(seed: number): Random {
  if (!Number.isFinite(seed)) throw new RangeError(`seed must be a finite number, got ${seed}`);
  let mix = seed | 0;
  const split = (): number => {
    mix = (mix + 0x9e3779b9) | 0;
    let t = mix ^ (mix >>> 16);
    t = Math.imul(t, 0x21f0aaad);
    t ^= t >>> 15;
    t = Math.imul(t, 0x735a2d97);
    return (t ^ (t >>> 15)) | 0;
  };
  let a = split();
  let b = split();
  let c = split();
  let d = 1;
  const next = (): number => {
    const t = (((a + b) | 0) + d) | 0;
    d = (d + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return (t >>> 0) / 4294967296;
  };
  for (let i = 0; i < 15; i += 1) next();
  return {
    next,
    below(limit) {
      if (!Number.isInteger(limit) || limit < 1) {
        throw new RangeError(`limit must be a positive integer, got ${limit}`);
      }
      return Math.floor(next() * limit);
    },
    weighted(weights) {
      let total = 0;
      for (let i = 0; i < weights.length; i += 1) total += weights[i] ?? 0;
      if (!(total > 0)) throw new RangeError("weights must hold at least one positive number");
      let left = next() * total;
      for (let i = 0; i < weights.length; i += 1) {
        left -= weights[i] ?? 0;
        if (left < 0) return i;
      }
      for (let i = weights.length - 1; i >= 0; i -= 1) if ((weights[i] ?? 0) > 0) return i;
      return 0;
    },
  };
}
