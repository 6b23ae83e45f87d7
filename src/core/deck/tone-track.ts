import { FloatList } from "./float-list.js";
import { lowPassTaps } from "./low-pass.js";

/** Frequency and level of a tone along a recording, at equal distances in time. */
export interface ToneTrack {
  /** Values a second; about 2000. */
  readonly rateHz: number;
  /** Frequency above `centreHz`; value k belongs to k / `rateHz` seconds. Without meaning where there is no tone. */
  readonly offsetHz: Float32Array;
  readonly centreHz: number;
  /** Amplitude of the tone, full scale 1. */
  readonly amplitude: Float32Array;
}

/** Middle of the band in which a tone is followed: between the two reference tones. */
const centreHz = 3075;
/** Half the band that is flat. Speed errors up to a third and the sidebands of flutter lie within. */
const passHz = 1100;
/** Where hum and other tones are gone. */
const stopHz = 2200;
/** Flutter is counted up to 200 Hz. */
const flutterPassHz = 200;
const flutterStopHz = 400;

/**
 * Follows the frequency of a tone between 2000 and 4150 Hz: a band-pass that lets only positive frequencies through, then
 * the angle by which its output turns from one sample to the next. Samples are given in pieces.
 */
export class ToneFollower {
  readonly rateHz: number;
  private readonly bandRateHz: number;
  private readonly step: number;
  private readonly tapsRe: Float64Array;
  private readonly tapsIm: Float64Array;
  private tail: Float32Array;
  private next: number;
  private lastRe = 0;
  private lastIm = 0;
  private readonly turnRe: number;
  private readonly turnIm: number;
  private readonly smoother: Smoother;
  private readonly levels: Smoother;
  private power = 0;

  /** Throws `RangeError` for a rate at which such a tone cannot be followed: below 7700 Hz. */
  constructor(sampleRateHz: number) {
    if (!(sampleRateHz >= 7700 && Number.isFinite(sampleRateHz))) {
      throw new RangeError(`sampleRateHz must be at least 7700, got ${sampleRateHz}`);
    }
    this.step = Math.max(1, Math.floor(sampleRateHz / 6000));
    this.bandRateHz = sampleRateHz / this.step;
    const low = lowPassTaps(sampleRateHz, passHz, stopHz);
    const reach = (low.length - 1) / 2;
    const angle = (2 * Math.PI * centreHz) / sampleRateHz;
    // A convolution runs backwards through the samples, so the taps turn backwards too; twice, for the other half.
    this.tapsRe = low.map((tap, i) => 2 * tap * Math.cos(angle * (i - reach)));
    this.tapsIm = low.map((tap, i) => -2 * tap * Math.sin(angle * (i - reach)));
    this.tail = new Float32Array(reach);
    this.next = reach;
    this.turnRe = Math.cos(angle * this.step);
    this.turnIm = -Math.sin(angle * this.step);
    const thinning = Math.max(1, Math.floor(this.bandRateHz / 2000));
    this.rateHz = this.bandRateHz / thinning;
    this.smoother = new Smoother(lowPassTaps(this.bandRateHz, flutterPassHz, flutterStopHz), thinning);
    const width = 2 * Math.floor(thinning / 2) + 1;
    this.levels = new Smoother(new Float64Array(width).fill(1 / width), thinning);
  }

  /** Power that was heard in the band so far, summed; to compare channels by. */
  get bandPower(): number {
    return this.power;
  }

  push(samples: Float32Array): void {
    const { step, tapsRe, tapsIm } = this;
    const reach = (tapsRe.length - 1) / 2;
    const joined = new Float32Array(this.tail.length + samples.length);
    joined.set(this.tail);
    joined.set(samples, this.tail.length);
    let middle = this.next;
    for (; middle + reach < joined.length; middle += step) {
      let re = 0;
      let im = 0;
      for (let k = 0, at = middle - reach; k < tapsRe.length; k += 1, at += 1) {
        const value = joined[at] ?? 0;
        re += (tapsRe[k] ?? 0) * value;
        im += (tapsIm[k] ?? 0) * value;
      }
      this.turn(re, im);
    }
    const keep = Math.min(joined.length, Math.max(0, middle - reach));
    this.tail = joined.slice(keep);
    this.next = middle - keep;
  }

  /** The track; nothing may be pushed afterwards. */
  finish(): ToneTrack {
    this.push(new Float32Array((this.tapsRe.length - 1) / 2));
    return {
      rateHz: this.rateHz,
      centreHz,
      offsetHz: this.smoother.finish(),
      amplitude: this.levels.finish(),
    };
  }

  private turn(re: number, im: number): void {
    // The new value times the conjugate of the last, turned back by what a tone in the middle of the band would turn.
    const byRe = re * this.lastRe + im * this.lastIm;
    const byIm = im * this.lastRe - re * this.lastIm;
    const offset = Math.atan2(
      byIm * this.turnRe + byRe * this.turnIm,
      byRe * this.turnRe - byIm * this.turnIm,
    );
    this.smoother.push((offset * this.bandRateHz) / (2 * Math.PI));
    const power = re * re + im * im;
    this.power += power;
    this.levels.push(Math.sqrt(power));
    this.lastRe = re;
    this.lastIm = im;
  }
}

/** A symmetric filter of which every `step`-th output is kept; output k lies at input k × step. */
class Smoother {
  private readonly taps: Float64Array;
  private readonly step: number;
  private readonly ring: Float64Array;
  private readonly kept = new FloatList();
  private seen = 0;

  constructor(taps: Float64Array, step: number) {
    this.taps = taps;
    this.step = step;
    this.ring = new Float64Array(taps.length);
  }

  push(value: number): void {
    const { taps, ring, step } = this;
    ring[this.seen % ring.length] = value;
    this.seen += 1;
    const middle = this.seen - 1 - (taps.length - 1) / 2;
    if (middle < 0 || middle % step !== 0) return;
    let sum = 0;
    for (let k = 0, at = this.seen % ring.length; k < taps.length; k += 1) {
      sum += (taps[k] ?? 0) * (ring[at] ?? 0);
      at = at + 1 === ring.length ? 0 : at + 1;
    }
    this.kept.push(sum);
  }

  finish(): Float32Array {
    const last = this.ring[(this.seen - 1 + this.ring.length) % this.ring.length] ?? 0;
    for (let i = 0; i < (this.taps.length - 1) / 2; i += 1) this.push(last);
    return this.kept.values();
  }
}
