/** A crossing counts once the signal is this share of its usual peak beyond zero. */
const hysteresisShare = 0.15;

/**
 * Finds where a signal passes zero, sample block by sample block. A crossing counts only when the signal then goes on to
 * a share of its usual height, so that noise near zero is not many crossings; its place is where the straight line
 * between two samples meets zero.
 */
export class CrossingFinder {
  private before = 0;
  private index = 0;
  private side: -1 | 0 | 1 = 0;
  private candidate = 0;
  private usual = 0;
  private peak = 0;

  /**
   * Crossings that are certain now are handed to `give`: the place in samples from the start of the recording, with its
   * fraction, and the size of the extreme between the crossing before and this one.
   */
  push(samples: Float32Array, give: (position: number, peak: number) => void): void {
    let { before, usual, peak, side, candidate } = this;
    for (let i = 0; i < samples.length; i += 1) {
      const value = samples[i] ?? 0;
      if (before > 0 !== value > 0)
        candidate = this.index + i - (value === before ? 0 : value / (value - before));
      const size = Math.abs(value);
      // The usual height follows a rise at once and forgets it within some hundred samples.
      usual = size > usual ? size : usual * 0.9985;
      if (size > hysteresisShare * usual && size > 1e-5) {
        const now = value > 0 ? 1 : -1;
        if (now !== side) {
          if (side !== 0) give(candidate, peak);
          side = now;
          peak = 0;
        }
      }
      if (size > peak) peak = size;
      before = value;
    }
    this.index += samples.length;
    this.before = before;
    this.usual = usual;
    this.peak = peak;
    this.side = side;
    this.candidate = candidate;
  }
}
