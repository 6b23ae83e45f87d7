import { interpolationReach, valueAt } from "./interpolate.js";
import { TickList } from "./tick-list.js";
import { searchSamples, ToneSearch } from "./tone-search.js";

/** What the clock has to know of a recording. */
export interface ToneClockOptions {
  /** Sample rate of what is pushed. */
  readonly rateHz: number;
  /** The higher of the two tones at nominal speed; the other lies an octave below. */
  readonly highHz: number;
  /** How far the speed may be off, as 0.25. */
  readonly reachRatio: number;
}

const samplesPerTick = 4;
const half = Math.SQRT1_2;

/** Loop frequency of the clock: wide enough for flutter, narrow enough for noise. */
const loopRadians = 130;

/** Seconds without a sign of the tones after which the clock is taken to be lost. */
const patienceSeconds = 0.2;

/**
 * Follows the tones of a recording and cuts it into ticks, one cycle of the higher tone each, whatever the speed is.
 *
 * A loop of second order turns the sampling places so that the phase of both tones stays where it should be: that of
 * the higher tone directly, that of the lower one doubled, because half a cycle of it is a tick and its sign says
 * nothing about time. Where no tone is heard the clock runs on at its last speed. The phase that both tones have at the
 * start of a bit (0° or 180° for sines that start at a crossing, depending on the polarity) is not assumed but learned
 * from the difference of the two. Source of the loop: F. M. Gardner, Phaselock Techniques, second-order loops; from
 * memory.
 */
export class ToneClock {
  readonly ticks = new TickList();
  private readonly rateHz: number;
  private readonly nominalTick: number;
  private readonly search: ToneSearch;
  private readonly reachRatio: number;
  private samples = new Float32Array(1 << 14);
  private length = 0;
  /** Number of the first sample still held. */
  private offset = 0;
  private locked = false;
  /** Place of the next sample to take, counted from the start of the recording, and samples between two. */
  private position = 0;
  private step = 1;
  private level = 0;
  private quality = 0;
  private ended = false;
  private readonly last = new Float64Array(samplesPerTick);
  /** Phase of both tones at the start of a bit, and whether it was learned. */
  private startPhase = -Math.PI / 2;
  private cosPhase = 0;
  private sinPhase = -1;
  private cosTwice = -1;
  private sinTwice = 0;
  private learned = false;
  private readonly vector = { highRe: 0, highIm: 0, highWeight: 0, lowRe: 0, lowIm: 0, lowWeight: 0 };
  private firstLow = -1;

  constructor({ rateHz, highHz, reachRatio }: ToneClockOptions) {
    this.rateHz = rateHz;
    this.nominalTick = rateHz / highHz;
    this.reachRatio = reachRatio;
    this.search = new ToneSearch(rateHz, highHz, reachRatio);
  }

  /** Phase of both tones at the start of a bit, radians. */
  get bitPhase(): number {
    return this.startPhase;
  }

  /** Ticks that will not be taken back. */
  get settledTicks(): number {
    if (this.learned || this.ended) return this.ticks.end;
    return this.firstLow < 0 ? this.ticks.end - 2 : this.firstLow - 16;
  }

  /** Follows the signal through more samples. */
  push(block: Float32Array): void {
    this.keep(block);
    this.run();
  }

  /** The recording is over. */
  finish(): void {
    this.keep(new Float32Array(searchSamples));
    this.run();
    this.ended = true;
  }

  private keep(block: Float32Array): void {
    // What lies behind the next place, with room to go back to where the start phase was not known, is let go.
    const back = this.learned ? 64 : this.locked ? 1 << 16 : 64;
    const from = Math.max(0, Math.min(this.length, Math.floor(this.position) - back - this.offset));
    if (from > 1 << 14 || this.length + block.length > this.samples.length) {
      const kept = this.samples.subarray(from, this.length);
      const wanted = kept.length + block.length;
      const target = wanted > this.samples.length ? new Float32Array(2 * wanted) : this.samples;
      target.set(kept);
      this.samples = target;
      this.length = kept.length;
      this.offset += from;
    }
    this.samples.set(block, this.length);
    this.length += block.length;
  }

  private run(): void {
    for (;;) {
      if (this.locked) {
        const needed = this.position + samplesPerTick * this.step + interpolationReach + 1;
        if (needed > this.offset + this.length) return;
        this.tick();
      } else {
        if (this.position + searchSamples > this.offset + this.length) return;
        this.look();
      }
    }
  }

  /** Searches a stretch for the tones; goes on by half a stretch if there are none. */
  private look(): void {
    const start = Math.max(0, Math.floor(this.position) - this.offset);
    const found = this.search.find(this.samples, start);
    if (found === undefined || found.prominence < 12) {
      this.position += searchSamples / 2;
      return;
    }
    this.step = this.rateHz / found.highHz / samplesPerTick;
    this.locked = true;
    this.quality = 0.6;
    this.level = 0;
    this.last.fill(0);
    this.vector.highWeight = 0;
    this.vector.lowWeight = 0;
    this.vector.highRe = this.vector.highIm = this.vector.lowRe = this.vector.lowIm = 0;
    this.align();
    this.ticks.breakHere();
  }

  /** Puts the first tick where the tones have their start phase, by the phase over a few ticks. */
  private align(): void {
    let highRe = 0;
    let highIm = 0;
    let doubledRe = 0;
    let doubledIm = 0;
    const start = this.position - this.offset;
    const y = new Float64Array(2 * samplesPerTick);
    for (let i = 0; i < 16 * samplesPerTick; i += samplesPerTick) {
      for (let k = 0; k < y.length; k += 1) y[k] = valueAt(this.samples, start + (i + k) * this.step);
      const high = highTone(y);
      const low = lowTone(y);
      highRe += high.re;
      highIm += high.im;
      const size = Math.hypot(low.re, low.im) + 1e-20;
      doubledRe += (low.re * low.re - low.im * low.im) / size;
      doubledIm += (2 * low.re * low.im) / size;
    }
    const byHigh = Math.hypot(highRe, highIm) * 2 >= Math.hypot(doubledRe, doubledIm);
    const phase = byHigh
      ? Math.atan2(highIm, highRe) - this.startPhase
      : Math.atan2(doubledIm, doubledRe) - 2 * this.startPhase;
    this.shift(-phase);
    if (this.position < this.offset) this.position += samplesPerTick * this.step;
  }

  /** Moves the next place by an angle of the higher tone. */
  private shift(radians: number): void {
    this.position += (wrap(radians) / (2 * Math.PI)) * samplesPerTick * this.step;
  }

  private tick(): void {
    const { last, ticks, samples } = this;
    const start = this.position - this.offset;
    const { step } = this;
    const a = valueAt(samples, start);
    const b = valueAt(samples, start + step);
    const c = valueAt(samples, start + 2 * step);
    const d = valueAt(samples, start + 3 * step);
    const l0 = last[0] ?? 0;
    const l1 = last[1] ?? 0;
    const l2 = last[2] ?? 0;
    const l3 = last[3] ?? 0;
    const highRe = a - c;
    const highIm = d - b;
    // The lower tone over the tick before and this one, from the start of the one before.
    const lowRe = l0 + half * (l1 - l3) - a - half * (b - d);
    const lowIm = -half * (l1 + l3) - l2 + half * (b + d) + c;
    last[0] = a;
    last[1] = b;
    last[2] = c;
    last[3] = d;
    const energy = a * a + b * b + c * c + d * d;
    const follows = !ticks.isBroken;
    const at = ticks.add();
    ticks.position[at] = this.position;
    ticks.step[at] = step;
    ticks.highRe[at] = highRe;
    ticks.highIm[at] = highIm;
    ticks.lowRe[at] = 0;
    ticks.lowIm[at] = 0;
    ticks.energy[at] = energy;
    this.position += samplesPerTick * step;
    if (!follows) return;
    ticks.lowRe[at - 1] = lowRe;
    ticks.lowIm[at - 1] = lowIm;
    const bothRe = highRe + (ticks.highRe[at - 1] ?? 0);
    const bothIm = highIm + (ticks.highIm[at - 1] ?? 0);
    this.steer(bothRe, bothIm, lowRe, lowIm, energy + (ticks.energy[at - 1] ?? 0));
  }

  /** One turn of the loop, from the tones over the last two ticks. */
  private steer(highRe: number, highIm: number, lowRe: number, lowIm: number, energy: number): void {
    const highPower = highRe * highRe + highIm * highIm;
    const lowPower = lowRe * lowRe + lowIm * lowIm;
    const power = highPower + lowPower + 1e-30;
    const dominance = (highPower - lowPower) / power;
    const isHigh = dominance > 0;
    const size = Math.sqrt(Math.max(highPower, lowPower));
    const cos = isHigh ? this.cosPhase : this.cosTwice;
    const sin = isHigh ? this.sinPhase : this.sinTwice;
    const re = isHigh ? highRe : (lowRe * lowRe - lowIm * lowIm) / (size + 1e-30);
    const im = isHigh ? highIm : (2 * lowRe * lowIm) / (size + 1e-30);
    const alongRe = re * cos + im * sin;
    const alongIm = im * cos - re * sin;
    const weight = dominance * dominance;
    this.level += (size > this.level ? 0.05 : 0.002) * (size - this.level);
    const scale = Math.max(size, this.level) + 1e-30;
    if (isHigh || this.learned) {
      const tickSeconds = (samplesPerTick * this.step) / this.rateHz;
      const turn = loopRadians * tickSeconds;
      const error = (weight * alongIm) / scale;
      const tickSamples = samplesPerTick * this.step;
      this.position -= (Math.SQRT2 * 1.6 * turn * error * tickSamples) / (2 * Math.PI);
      this.step -= (1.6 * turn * turn * error * this.step) / (2 * Math.PI);
      this.holdSpeed();
    }
    // A steady tone gives 1, noise about a third, whatever the level is.
    const purity = energy > 0 ? alongRe / (2 * Math.sqrt(energy) + 1e-30) : 0;
    const heard = energy > 0 && size > 0.05 * this.level ? Math.max(0, purity) : 0;
    this.quality += (heard - this.quality) / (patienceSeconds * 2400);
    if (this.quality < 0.3) {
      this.locked = false;
      return;
    }
    this.learn(isHigh, weight, alongRe / scale, alongIm / scale);
  }

  private holdSpeed(): void {
    const slowest = this.nominalTick / (1 - this.reachRatio) / samplesPerTick;
    const fastest = this.nominalTick / (1 + this.reachRatio) / samplesPerTick;
    this.step = Math.max(fastest, Math.min(slowest, this.step));
  }

  /** Gathers the phases of both tones; their difference says where in a cycle a bit begins. */
  private learn(isHigh: boolean, weight: number, re: number, im: number): void {
    const { vector } = this;
    if (weight < 0.4) return;
    if (isHigh) {
      vector.highRe += re;
      vector.highIm += im;
      vector.highWeight += 1;
    } else {
      if (vector.lowWeight === 0) this.firstLow = this.ticks.end - 2;
      vector.lowRe += re;
      vector.lowIm += im;
      vector.lowWeight += 1;
    }
    const enough = this.learned ? 400 : 6;
    if (vector.lowWeight < enough || vector.highWeight < enough) return;
    const lowSize = Math.hypot(vector.lowRe, vector.lowIm) / vector.lowWeight;
    const change = wrap(Math.atan2(vector.lowIm, vector.lowRe) - Math.atan2(vector.highIm, vector.highRe));
    vector.highRe = vector.highIm = vector.highWeight = 0;
    vector.lowRe = vector.lowIm = vector.lowWeight = 0;
    if (this.learned) {
      this.setPhase(this.startPhase + 0.5 * change);
      return;
    }
    if (lowSize < 0.5) return;
    this.learned = true;
    this.setPhase(this.startPhase + change);
    this.goBack(Math.max(this.ticks.start, this.firstLow - 8), change);
  }

  private setPhase(radians: number): void {
    this.startPhase = wrap(radians);
    this.cosPhase = Math.cos(radians);
    this.sinPhase = Math.sin(radians);
    this.cosTwice = Math.cos(2 * radians);
    this.sinTwice = Math.sin(2 * radians);
  }

  /** Takes ticks back and does them again with the start phase that is known now. */
  private goBack(tick: number, change: number): void {
    const place = this.ticks.placeOf(tick);
    if (place === undefined || place.position < this.offset + interpolationReach) return;
    this.ticks.cutAt(tick);
    this.position = place.position;
    this.step = place.step;
    this.shift(change);
    this.last.fill(0);
    this.ticks.breakHere();
  }
}

/** An angle brought between -π and π. */
export function wrap(radians: number): number {
  return radians - 2 * Math.PI * Math.round(radians / (2 * Math.PI));
}

function highTone(y: Float64Array): { re: number; im: number } {
  const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0] = y;
  return { re: a - c + e - g, im: d - b + h - f };
}

function lowTone(y: Float64Array): { re: number; im: number } {
  const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0] = y;
  return { re: a + half * (b - d) - e - half * (f - h), im: -half * (b + d) - c + half * (f + h) + g };
}
