import type { Parsed, Problem } from "../base/problem.js";
import type { AudioBlock, AudioSource } from "../signal/samples.js";
import { measureNoise, type Noise } from "./noise.js";
import { type DeckReading, type Gathered, type MeasureOptions, readDeck } from "./reading.js";
import { type ToneFrame, ToneLens } from "./tone-frames.js";
import { ToneFollower } from "./tone-track.js";

/** Seconds of sound that are heard before it is decided which channel the speed is read from. */
const choosingSeconds = 3;
/** Mean square below which a block counts as silence. */
const leastPower = 1e-7;
/** Lowest rate at which a reference tone can be followed. */
export const lowestRateHz = 7700;

/**
 * Measures the recording of a reference tone, read to its end, in memory that grows by 60 MB an hour. `onProgress` is
 * told the seconds that have been read. Without a value the problems say why.
 * Codes: `deck-rate-low`, and those of `readDeck`; the source's own problems come first.
 */
export async function measureDeck(
  source: AudioSource,
  options: MeasureOptions = {},
  onProgress?: (seconds: number) => void,
): Promise<Parsed<DeckReading>> {
  if (source.sampleRateHz < lowestRateHz) {
    const message = `The sample rate is ${source.sampleRateHz} Hz; a tone of 3150 Hz with its flutter needs ${lowestRateHz} Hz.`;
    const hint = "Record at 44 100 or 48 000 Hz.";
    const problem: Problem = { code: "deck-rate-low", severity: "error", message, where: {}, hint };
    return { problems: [...source.problems, problem] };
  }
  const meter = new DeckMeter(source.sampleRateHz);
  for await (const block of source.blocks) {
    meter.push(block);
    onProgress?.(meter.seconds);
  }
  const { value, problems } = meter.finish(options);
  const all = [...source.problems, ...problems];
  return value === undefined ? { problems: all } : { value, problems: all };
}

/** Takes a recording in pieces and gives the reading at its end. Only the first two channels count. */
export class DeckMeter {
  private readonly rateHz: number;
  /** One for each channel at first, then the one of the channel that is measured. */
  private followers: ToneFollower[];
  private readonly lens: ToneLens;
  private readonly hop: number;
  private readonly frames: (ToneFrame | undefined)[] = [];
  private readonly power: Float64Array;
  private readonly noises: Noise[] = [];
  private waiting: Float32Array[] = [];
  private chosen: number | undefined;
  private soundSamples = 0;
  private samples = 0;
  private isSame = true;
  private gathered: Gathered | undefined;

  /** Throws `RangeError` for a rate below `lowestRateHz`. */
  constructor(sampleRateHz: number) {
    this.rateHz = sampleRateHz;
    this.followers = [new ToneFollower(sampleRateHz), new ToneFollower(sampleRateHz)];
    this.lens = new ToneLens(sampleRateHz);
    this.power = new Float64Array(this.lens.size / 2);
    this.hop = Math.round(1.25 * this.lens.size);
  }

  /** Seconds taken so far. */
  get seconds(): number {
    return this.samples / this.rateHz;
  }

  push(block: AudioBlock): void {
    const channels = block.channels.slice(0, 2);
    const [first, second] = channels;
    if (first === undefined) return;
    this.samples += first.length;
    if (this.isSame && second !== undefined) this.isSame = first.every((value, i) => value === second[i]);
    this.lookAt(channels);
    if (this.chosen !== undefined) {
      this.followers[0]?.push(channels[this.chosen] ?? first);
      return;
    }
    for (const [i, samples] of channels.entries()) this.followers[i]?.push(samples);
    if (isSound(channels)) this.soundSamples += first.length;
    if (this.soundSamples >= choosingSeconds * this.rateHz) this.choose();
  }

  /** The reading. Nothing may be pushed afterwards, but other options may be tried on the same recording. */
  finish(options: MeasureOptions): Parsed<DeckReading> {
    if (this.gathered === undefined) this.choose();
    const track = this.gathered?.track ?? this.followers[0]?.finish();
    if (track === undefined) throw new RangeError("there is no channel to measure");
    this.gathered ??= {
      seconds: this.seconds,
      track,
      frames: this.frames,
      frameSeconds: this.hop / this.rateHz,
      noises: this.noises,
      isSameSignal: this.isSame,
    };
    return readDeck(this.gathered, options);
  }

  /** Takes the channel with more of the tone: a deck with one bad channel is measured with the good one. */
  private choose(): void {
    if (this.chosen !== undefined) return;
    const [left, right] = this.followers;
    this.chosen = (right?.bandPower ?? 0) > (left?.bandPower ?? 0) ? 1 : 0;
    this.followers = this.followers.filter((_, i) => i === this.chosen);
  }

  private lookAt(channels: readonly Float32Array[]): void {
    const { size } = this.lens;
    this.waiting = channels.map((samples, channel) => join(this.waiting[channel], samples));
    let start = 0;
    const length = this.waiting[0]?.length ?? 0;
    for (; start + Math.max(size, this.hop) <= length; start += this.hop) {
      this.power.fill(0);
      const frame = this.lens.look(this.waiting, start, this.power);
      const seconds = (this.frames.length * this.hop + size / 2) / this.rateHz;
      this.frames.push(frame === undefined ? undefined : { ...frame, seconds });
      this.keepNoise(frame);
    }
    this.waiting = this.waiting.map((samples) => samples.slice(start));
  }

  private keepNoise(frame: ToneFrame | undefined): void {
    if (frame === undefined || frame.hz < 2000 || frame.hz > 4200 || frame.purity < 0.5) return;
    const noise = measureNoise({ binHz: this.lens.binHz, power: this.power }, frame.hz);
    if (noise !== undefined) this.noises.push(noise);
  }
}

function isSound(channels: readonly Float32Array[]): boolean {
  return channels.some((samples) => {
    let power = 0;
    for (const value of samples) power += value * value;
    return power > leastPower * samples.length;
  });
}

function join(before: Float32Array | undefined, after: Float32Array): Float32Array {
  if (before === undefined || before.length === 0) return after;
  const joined = new Float32Array(before.length + after.length);
  joined.set(before);
  joined.set(after, before.length);
  return joined;
}
