import { type BitSums, sumBit, type ToneLevels, ToneReceiver, unexplained } from "../signal/tone-bits.js";
import { ToneClock } from "../signal/tone-clock.js";
import { type Band, WorkingRate } from "../signal/working-rate.js";
import { FramePath, type FrameShape } from "./frame-path.js";
import type { SoftByte } from "./soft-byte.js";

/** What a decoder of tones is told: the scheme, without how it is stored. */
export interface ToneDecoderOptions {
  readonly sampleRateHz: number;
  /** The higher tone at nominal speed; the other is an octave below. */
  readonly highHz: number;
  /** Value that the higher tone stands for. */
  readonly highBit: 0 | 1;
  /** Cycles of the higher tone in a bit; even. */
  readonly bitTicks: number;
  /** Framing; bits between characters are as the stop bits. */
  readonly frame: FrameShape;
  /** For each bit of a frame that is data: its weight in the byte, as a power of two; -1 for other bits. */
  readonly bitWeights: Int8Array;
  /** How far the speed may be off. */
  readonly reachRatio: number;
}

/** Ticks after which levels are worked out anew. */
const ticksPerTurn = 4096;
const framesAhead = 12;

/** A pause of this many bits ends a run of bytes: longer than a slow program takes between two of them. */
const pauseBits = 150;

/** Decodes keyed tones as they come in: push samples, take bytes. */
export class ToneDecoder {
  private readonly options: ToneDecoderOptions;
  private readonly rate: WorkingRate;
  private readonly clock: ToneClock;
  private readonly path: FramePath;
  private receiver: ToneReceiver | undefined;
  /** First tick whose likelihood the path has not. */
  private next = 0;
  private likelihoods: number[] = [];
  private likelihoodBase = 0;
  private readonly sums: BitSums = { highRe: 0, highIm: 0, lowRe: 0, lowIm: 0, energy: 0 };
  private readonly bytes: SoftByte[] = [];
  /** First tick after the last byte. */
  private lastEnd = Number.NEGATIVE_INFINITY;

  constructor(options: ToneDecoderOptions) {
    this.options = options;
    const { highHz, bitTicks, reachRatio, sampleRateHz } = options;
    this.rate = new WorkingRate(sampleRateHz, toneBand(highHz, bitTicks, reachRatio));
    this.clock = new ToneClock({ rateHz: this.rate.rateHz, highHz, reachRatio });
    this.path = new FramePath(options.frame);
  }

  /** Samples of one channel. */
  push(samples: Float32Array): void {
    this.clock.push(this.rate.push(samples));
    if (this.clock.settledTicks - this.next > 2 * ticksPerTurn) this.work(false);
  }

  /** The recording is over. */
  finish(): void {
    this.clock.push(this.rate.finish());
    this.clock.finish();
    this.work(true);
  }

  /** Bytes found since the last call, in order. */
  take(): SoftByte[] {
    return this.bytes.splice(0);
  }

  private work(isEnd: boolean): void {
    const { frame } = this.options;
    const margin = frame.bitTicks + 8;
    const frameTicks = frame.bits * frame.bitTicks;
    for (;;) {
      const until = Math.min(this.clock.settledTicks - (isEnd ? 0 : margin), this.next + ticksPerTurn);
      if (until <= this.next || (!isEnd && until - this.next < ticksPerTurn)) return;
      if (this.receiver === undefined)
        this.receiver = new ToneReceiver(this.firstLevels(this.next, until), this.options.bitTicks);
      this.weigh(until);
      const settled = isEnd && until === this.clock.settledTicks ? until : until - framesAhead * frameTicks;
      const found = this.path.settle(settled);
      for (const { tick } of found) this.bytes.push(this.read(tick));
      this.relevel(found.map(({ tick }) => tick));
      const keepFrom = Math.max(this.clock.ticks.start, settled - 4 * frameTicks);
      this.clock.ticks.drop(Math.min(keepFrom, this.clock.ticks.end));
      const gone = Math.max(0, keepFrom - this.likelihoodBase);
      this.likelihoods = this.likelihoods.slice(gone);
      this.likelihoodBase += gone;
    }
  }

  private weigh(until: number): void {
    const { ticks } = this.clock;
    for (; this.next < until; this.next += 1) {
      const likelihood = this.likelihoodOf(this.next, ticks.end);
      const one = this.options.highBit === 1 ? likelihood : -likelihood;
      this.likelihoods.push(one);
      this.path.push(one);
    }
  }

  private likelihoodOf(tick: number, end: number): number {
    const { bitTicks } = this.options;
    const { receiver, sums } = this;
    const { ticks } = this.clock;
    if (receiver === undefined || tick + bitTicks > end) return 0;
    sumBit(ticks, tick, bitTicks, sums);
    const { levels } = receiver;
    // Level around the bit, by its energy; a pure tone of the usual level gives 1.
    const usual = Math.max(levels.high, levels.low);
    const around = sums.energy / bitTicks;
    const full = (usual * usual) / (2 * bitTicks * bitTicks) + (2 * levels.noise) / bitTicks / 2;
    const share = Math.sqrt(Math.min(1.2, Math.max(0, around / (full + 1e-30))));
    return receiver.likelihood(sums, share);
  }

  /** Levels to begin with: from ticks that clearly hold one tone, and from what the weaker one shows. */
  private firstLevels(from: number, until: number): ToneLevels {
    const { bitTicks } = this.options;
    const { ticks } = this.clock;
    const strong: number[] = [];
    const weak: number[] = [];
    const left: number[] = [];
    for (let tick = from; tick + bitTicks < until; tick += bitTicks) {
      sumBit(ticks, tick, bitTicks, this.sums);
      const { highRe, highIm, lowRe, lowIm } = this.sums;
      const high = highRe * highRe + highIm * highIm;
      const low = lowRe * lowRe + lowIm * lowIm;
      strong.push(Math.max(high, low));
      weak.push(Math.min(high, low));
      left.push(unexplained(this.sums, bitTicks));
    }
    const size = Math.sqrt(quantile(strong, 0.6));
    const phase = this.clock.bitPhase;
    return {
      high: size,
      low: size,
      highPhase: phase,
      lowPhase: phase,
      noise: quantile(weak, 0.4) / 1.02,
      left: quantile(left, 0.6),
    };
  }

  private read(tick: number): SoftByte {
    const { frame, bitWeights } = this.options;
    const soft = new Array<number>(8).fill(0);
    let frameDoubt = -40;
    for (let k = 0; k < frame.pattern.length; k += 1) {
      const value = this.likelihoods[tick + k * frame.bitTicks - this.likelihoodBase] ?? 0;
      const weight = bitWeights[k] ?? -1;
      const fixed = frame.pattern[k] ?? -1;
      if (weight >= 0) soft[weight] = value;
      else if (fixed >= 0) frameDoubt = Math.max(frameDoubt, fixed === 1 ? -value : value);
    }
    const start = this.clock.ticks.placeOf(tick);
    const end = this.clock.ticks.placeOf(
      Math.min(tick + frame.bits * frame.bitTicks, this.clock.ticks.end - 1),
    );
    const rate = this.rate.rateHz;
    const beginsRun = tick - this.lastEnd > pauseBits * frame.bitTicks;
    this.lastEnd = tick + frame.bits * frame.bitTicks;
    return {
      soft,
      beginsRun,
      frameDoubt,
      startSeconds: (start?.position ?? 0) / rate,
      endSeconds: (end?.position ?? 0) / rate,
      speedRatio: rate / ((start?.step ?? 1) * 4) / this.options.highHz,
    };
  }

  /** Moves the levels towards what the bits of the frames found show. */
  private relevel(frames: readonly number[]): void {
    const { frame, highBit, bitTicks } = this.options;
    const { receiver, sums } = this;
    if (receiver === undefined) return;
    const high = new ToneMean();
    const low = new ToneMean();
    let noise = 0;
    let left = 0;
    let count = 0;
    for (const tick of frames) {
      for (let k = 0; k < frame.pattern.length; k += 1) {
        const at = tick + k * bitTicks;
        const value = this.likelihoods[at - this.likelihoodBase] ?? 0;
        if (Math.abs(value) < 1) continue;
        const isHigh = value > 0 === (highBit === 1);
        sumBit(this.clock.ticks, at, bitTicks, sums);
        (isHigh ? high : low).add(isHigh ? sums.highRe : sums.lowRe, isHigh ? sums.highIm : sums.lowIm);
        noise += isHigh ? sums.lowRe ** 2 + sums.lowIm ** 2 : sums.highRe ** 2 + sums.highIm ** 2;
        left += unexplained(sums, bitTicks);
        count += 1;
      }
    }
    if (high.count < 40 || low.count < 40) return;
    const old = receiver.levels;
    const mix = (was: number, is: number): number => was + 0.5 * (is - was);
    this.receiver = new ToneReceiver(
      {
        high: mix(old.high, high.size),
        low: mix(old.low, low.size),
        highPhase: high.phase,
        lowPhase: low.phase,
        noise: mix(old.noise, noise / (2 * count)),
        left: mix(old.left, left / count),
      },
      bitTicks,
    );
  }
}

/** Mean of complex numbers. */
class ToneMean {
  count = 0;
  private re = 0;
  private im = 0;

  add(re: number, im: number): void {
    this.re += re;
    this.im += im;
    this.count += 1;
  }

  get size(): number {
    return Math.hypot(this.re, this.im) / this.count;
  }

  get phase(): number {
    return Math.atan2(this.im, this.re);
  }
}

/** What keyed tones occupy, with their speed as far off as it may be. */
function toneBand(highHz: number, bitTicks: number, reachRatio: number): Band {
  return {
    lowestHz: highHz / 8,
    highestHz: (highHz + (0.7 * highHz) / bitTicks) * (1 + reachRatio),
  };
}

function quantile(values: number[], share: number): number {
  values.sort((a, b) => a - b);
  return values[Math.floor(share * (values.length - 1))] ?? 0;
}
