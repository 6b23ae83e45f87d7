/**
 * What comes of outputs that drive one net at the same time, in all phases at once. The low one wins: a high output
 * has no say, and if only one of the others is not high, the net follows that one. Only against the high level of a
 * TTL output the low level of a MOS part does not hold (drive currents from memory of data books).
 */
export class Fight {
  /** Phases with at least one output that drives fully. */
  once = 0;
  private twice = 0;
  private high = 0;
  private varying = 0;
  /** Phases with at least one, and at least two, of them that are not surely high. */
  private notHigh = 0;
  private notHighTwice = 0;
  private low = 0;
  private strongHigh = 0;
  private strongLow = 0;
  /** Value of the first that is not surely high. */
  private zero = 0;
  private one = 0;
  private wrong = 0;

  clear(): void {
    this.once = 0;
    this.twice = 0;
    this.high = 0;
    this.varying = 0;
    this.notHigh = 0;
    this.notHighTwice = 0;
    this.low = 0;
    this.strongHigh = 0;
    this.strongLow = 0;
    this.zero = 0;
    this.one = 0;
    this.wrong = 0;
  }

  /** Adds an output that drives fully in the given phases. */
  add(phases: number, zero: number, one: number, wrong: number, weak: boolean): void {
    this.twice |= this.once & phases;
    this.once |= phases;
    const notHigh = phases & zero;
    this.high |= phases & ~zero;
    this.varying |= notHigh & one;
    if (!weak) {
      this.strongHigh |= phases & ~zero;
      this.strongLow |= notHigh;
    }
    this.low |= notHigh & ~one;
    this.notHighTwice |= this.notHigh & notHigh;
    const first = notHigh & ~this.notHigh;
    this.zero |= first;
    this.one |= first & one;
    this.wrong |= first & wrong;
    this.notHigh |= notHigh;
  }

  /** Phases in which outputs drive against each other: all but those in which all are high or all are low. */
  fights(): number {
    return this.twice & (this.varying | (this.high & this.low));
  }

  /** Adds to a value in planes what comes of the fight in the given phases, in which nothing stands yet. */
  addTo(out: Int32Array, phases: number): void {
    const contested = phases & this.strongHigh & ~this.strongLow;
    const lowWins = phases & ~contested;
    const single = lowWins & this.notHigh & ~this.notHighTwice;
    const several = lowWins & this.notHighTwice;
    const low = (several & this.low) | (single & ~this.one);
    const unsure = contested | (several & ~this.low);
    const moves = unsure | (single & this.one);
    out[0] = (out[0] as number) | low | moves;
    out[1] = (out[1] as number) | moves;
    out[2] = (out[2] as number) | moves;
    out[4] = (out[4] as number) | phases;
    out[5] = (out[5] as number) | unsure | (single & this.wrong);
  }
}
