/** Widest word that is simulated, in bits. */
export const maximumWordBits = 16;

/**
 * The usual data backgrounds of a word-wide memory, ⌈log2 width⌉ + 1 of them: all zeros, then alternating runs of 1, 2,
 * 4, ... bits, so that any two bits of a word differ in at least one. For 8 bits 00, 55, 33, 0F.
 * Source: R. Dekker, F. Beenker, L. Thijssen, "A realistic fault model and test algorithms for static random access
 * memories", IEEE Trans. CAD 9(6), 1990.
 * Throws `RangeError` unless `wordBits` is 1 to {@link maximumWordBits}.
 */
export function standardBackgrounds(wordBits: number): number[] {
  if (!Number.isInteger(wordBits) || wordBits < 1 || wordBits > maximumWordBits)
    throw new RangeError(`word width must be 1 to ${maximumWordBits} bits, got ${wordBits}`);
  const backgrounds = [0];
  for (let run = 1; run < wordBits; run *= 2) {
    let pattern = 0;
    for (let bit = 0; bit < wordBits; bit += 1) if (Math.floor(bit / run) % 2 === 0) pattern |= 1 << bit;
    backgrounds.push(pattern);
  }
  return backgrounds;
}

/** A background in hexadecimal, as many digits as the word takes. */
export function printBackground(background: number, wordBits: number): string {
  return background
    .toString(16)
    .toUpperCase()
    .padStart(Math.ceil(wordBits / 4), "0");
}
