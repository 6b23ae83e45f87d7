/*
 * Counts how often each bit of many words is set. Four bits at a time are spread over the four bytes of an integer and
 * added there, so that a word costs four additions; before a byte can overflow, the bytes are emptied into the totals.
 */
const spread = Int32Array.from({ length: 16 }, (_, nibble) => {
  let lanes = 0;
  for (let bit = 0; bit < 4; bit += 1) if ((nibble >> bit) & 1) lanes |= 1 << (bit * 8);
  return lanes;
});

/** Bits of a word that are counted. */
export const countedBits = 16;

const roomInLane = 127;

/** Counts the set bits of words of up to {@link countedBits} bits, each bit apart. */
export class BitCounter {
  readonly #totals = new Int32Array(countedBits);
  #lanes0 = 0;
  #lanes1 = 0;
  #lanes2 = 0;
  #lanes3 = 0;
  #room = roomInLane;

  add(word: number): void {
    this.#lanes0 += spread[word & 15] ?? 0;
    this.#lanes1 += spread[(word >> 4) & 15] ?? 0;
    if (word > 0xff) {
      this.#lanes2 += spread[(word >> 8) & 15] ?? 0;
      this.#lanes3 += spread[(word >> 12) & 15] ?? 0;
    }
    this.#room -= 1;
    if (this.#room === 0) this.#empty();
  }

  /** [16] how often each bit was set so far. */
  counts(): Int32Array {
    this.#empty();
    return this.#totals;
  }

  #empty(): void {
    const lanes = [this.#lanes0, this.#lanes1, this.#lanes2, this.#lanes3];
    for (let bit = 0; bit < countedBits; bit += 1) {
      const count = ((lanes[bit >> 2] ?? 0) >> ((bit & 3) * 8)) & 0xff;
      this.#totals[bit] = (this.#totals[bit] ?? 0) + count;
    }
    this.#lanes0 = 0;
    this.#lanes1 = 0;
    this.#lanes2 = 0;
    this.#lanes3 = 0;
    this.#room = roomInLane;
  }
}
