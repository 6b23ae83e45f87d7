/** A frame found on the path: where it begins. */
export interface FoundFrame {
  /** Tick of its first bit. */
  readonly tick: number;
}

/** How characters are framed, in ticks of the clock. */
export interface FrameShape {
  readonly bitTicks: number;
  /** Bits of a whole frame. */
  readonly bits: number;
  /** For each bit: 0 or 1 where the framing fixes it, -1 for a data bit, -2 for the parity bit. */
  readonly pattern: Int8Array;
  /** Value of the bits between characters. */
  readonly idleBit: 0 | 1;
}

// Log probabilities of what comes next, between characters and straight after one.
const startAfterFrame = Math.log(0.9);
const pauseAfterFrame = Math.log(0.1);
const startAfterPause = Math.log(0.01);
const stayInPause = Math.log(0.99);

/**
 * The likeliest way to cut a run of ticks into characters and pauses between them, from how
 * likely the bit that begins at each tick is a 1 or a 0. Everything is counted against a recording that
 * pauses all the time. A lost bit of data costs nothing, whichever value it has, so that a hole in the recording does
 * not look like a pause: its characters are kept, and counted as doubtful later.
 *
 * Viterbi's algorithm over the two states "in a pause" and "straight after a character"; each tick is looked at once.
 * Source: A. J. Viterbi, IEEE Trans. Inf. Theory 13(2), 1967; G. D. Forney, Proc. IEEE 61(3), 1973.
 */
export class FramePath {
  private readonly shape: FrameShape;
  private readonly length: number;
  /** First tick that anything is held of. */
  private base = 0;
  /** Of each tick: gain of a bit that is not as in a pause, and of one that may be either, over one as in a pause. */
  private other: number[] = [];
  private either: number[] = [];
  private paused: number[] = [];
  private framed: number[] = [];
  /** How the best way into each state came: 0 from a pause, 1 from the end of a character. */
  private pausedFrom: number[] = [];
  private framedFrom: number[] = [];

  constructor(shape: FrameShape) {
    this.shape = shape;
    this.length = shape.bits * shape.bitTicks;
    this.reset(0);
  }

  /** Begins anew at a tick, in a pause. */
  reset(tick: number): void {
    this.base = tick;
    this.other = [];
    this.either = [];
    this.paused = [0];
    this.framed = [Number.NEGATIVE_INFINITY];
    this.pausedFrom = [0];
    this.framedFrom = [0];
  }

  /** The next tick: the logarithm of how much likelier the bit that begins there is a 1 than a 0. */
  push(likelihood: number): void {
    const other = this.shape.idleBit === 1 ? -likelihood : likelihood;
    this.other.push(other);
    this.either.push((other > 30 ? other : Math.log1p(Math.exp(other))) - Math.LN2);
    this.step();
  }

  private step(): void {
    const { paused, framed, pausedFrom, framedFrom, length } = this;
    const i = paused.length;
    const byPause = (paused[i - 1] ?? 0) + stayInPause;
    const byEnd = (framed[i - 1] ?? Number.NEGATIVE_INFINITY) + pauseAfterFrame;
    paused.push(Math.max(byEnd, byPause));
    pausedFrom.push(byEnd > byPause ? 1 : 0);
    const from = i - length;
    if (from < 0) {
      framed.push(Number.NEGATIVE_INFINITY);
      framedFrom.push(0);
      return;
    }
    const afterPause = (paused[from] ?? 0) + startAfterPause;
    const afterFrame = (framed[from] ?? Number.NEGATIVE_INFINITY) + startAfterFrame;
    framed.push(Math.max(afterFrame, afterPause) + this.score(from));
    framedFrom.push(afterFrame > afterPause ? 1 : 0);
  }

  /**
   * Frames on the best path that end at or before `tick`, oldest first; they are settled and their ticks let go. With
   * ticks pushed well beyond `tick` nothing that comes later can change them.
   */
  settle(tick: number): FoundFrame[] {
    const { length, base } = this;
    const frames: FoundFrame[] = [];
    let i = this.paused.length - 1;
    let inFrame = (this.framed[i] ?? Number.NEGATIVE_INFINITY) > (this.paused[i] ?? 0);
    let cut = -1;
    let cutInFrame = false;
    while (i > 0) {
      if (cut < 0 && base + i <= tick) {
        cut = i;
        cutInFrame = inFrame;
      }
      if (inFrame) {
        const from = i - length;
        if (cut >= 0 && from >= 0) frames.push({ tick: base + from });
        inFrame = this.framedFrom[i] === 1;
        i = from;
      } else {
        inFrame = this.pausedFrom[i] === 1;
        i -= 1;
      }
    }
    if (cut > 0) this.letGo(cut, cutInFrame);
    return frames.reverse();
  }

  /** Drops what lies before a point that the path is known to pass in a known state. */
  private letGo(cut: number, inFrame: boolean): void {
    const score = (inFrame ? this.framed[cut] : this.paused[cut]) ?? 0;
    this.other = this.other.slice(cut);
    this.either = this.either.slice(cut);
    this.pausedFrom = this.pausedFrom.slice(cut);
    this.framedFrom = this.framedFrom.slice(cut);
    this.paused = this.paused.slice(cut).map((value) => value - score);
    this.framed = this.framed.slice(cut).map((value) => value - score);
    this.paused[0] = inFrame ? Number.NEGATIVE_INFINITY : 0;
    this.framed[0] = inFrame ? 0 : Number.NEGATIVE_INFINITY;
    this.base += cut;
  }

  private score(from: number): number {
    const { pattern, bitTicks, idleBit } = this.shape;
    const { other, either } = this;
    let sum = 0;
    for (let k = 0, at = from; k < pattern.length; k += 1, at += bitTicks) {
      const fixed = pattern[k] ?? -1;
      if (fixed === idleBit) continue;
      sum += (fixed < 0 ? either[at] : other[at]) ?? 0;
    }
    return sum;
  }
}
