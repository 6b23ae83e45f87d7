/**
 * Ticks of a tone clock, numbered from 0, of which a window is held. Of each: the place of its first sample and the
 * samples between two; the higher tone over the tick; the lower tone over this tick and the next, both as complex
 * numbers seen from the start of the tick (real part along a cosine); the energy of its samples. The arrays begin with
 * tick `start` and may be longer than what is held.
 */
export class TickList {
  position = new Float64Array(4096);
  step = new Float64Array(4096);
  highRe = new Float64Array(4096);
  highIm = new Float64Array(4096);
  lowRe = new Float64Array(4096);
  lowIm = new Float64Array(4096);
  energy = new Float64Array(4096);
  private first = 0;
  private count = 0;
  /** Ticks before which something is missing: the clock was set anew. */
  private breaks: number[] = [];

  /** Number of the first tick held. */
  get start(): number {
    return this.first;
  }

  /** Number of the first tick that is still to come. */
  get end(): number {
    return this.first + this.count;
  }

  /** Makes room for one more tick and returns its index in the arrays; whoever adds it fills them. */
  add(): number {
    if (this.count === this.position.length) this.grow();
    this.count += 1;
    return this.count - 1;
  }

  private grow(): void {
    const larger = (values: Float64Array): Float64Array<ArrayBuffer> => {
      const grown = new Float64Array(2 * values.length);
      grown.set(values);
      return grown;
    };
    this.position = larger(this.position);
    this.step = larger(this.step);
    this.highRe = larger(this.highRe);
    this.highIm = larger(this.highIm);
    this.lowRe = larger(this.lowRe);
    this.lowIm = larger(this.lowIm);
    this.energy = larger(this.energy);
  }

  /** The next tick does not follow the last one. */
  breakHere(): void {
    if (this.breaks.at(-1) !== this.end) this.breaks.push(this.end);
  }

  /** True if the next tick does not follow the last one. */
  get isBroken(): boolean {
    return this.count === 0 || this.breaks.at(-1) === this.end;
  }

  /** Place and step of a tick that is held, else undefined. */
  placeOf(tick: number): { position: number; step: number } | undefined {
    if (tick < this.first || tick >= this.end) return undefined;
    const position = this.position[tick - this.first];
    const step = this.step[tick - this.first];
    return position === undefined || step === undefined ? undefined : { position, step };
  }

  /** Forgets the ticks from this one on. */
  cutAt(tick: number): void {
    this.count = Math.max(0, Math.min(this.count, tick - this.first));
    this.breaks = this.breaks.filter((at) => at <= this.end);
  }

  /** Forgets the ticks before this one. */
  drop(tick: number): void {
    const gone = Math.max(0, Math.min(this.count, tick - this.first));
    for (const values of [
      this.position,
      this.step,
      this.highRe,
      this.highIm,
      this.lowRe,
      this.lowIm,
      this.energy,
    ]) {
      values.copyWithin(0, gone, this.count);
    }
    this.first += gone;
    this.count -= gone;
    this.breaks = this.breaks.filter((at) => at >= this.first);
  }
}
