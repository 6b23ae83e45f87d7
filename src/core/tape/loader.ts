import { framePattern, type TapeScheme } from "./scheme.js";

/** How a machine's own loader reads: the thresholds of the scheme. */
export type LoaderModel = NonNullable<TapeScheme["loader"]>;

/** What is done to a recording before the loader hears it. */
export interface Strain {
  /** Speed as a multiple of the recording's. */
  readonly speedRatio: number;
  /** Level as a multiple of the recording's. */
  readonly levelRatio: number;
  /** Deviation of white noise that is added, as a share of full scale. */
  readonly noise: number;
  /** Threshold between short and long as a multiple of the loader's. */
  readonly thresholdRatio: number;
}

/**
 * Reads samples as a plain loader of the time did: crossings with a fixed hysteresis, one fixed threshold between short
 * and long, bits counted from the start bit (or from the leader's end), nothing tracked. Returns the bytes.
 * `noiseAt(i)` is the normal variable of sample `i`. Schemes of tones, and of pulses of which two lengths carry the bits;
 * for others undefined.
 */
export function loadAsMachine(
  samples: Float32Array,
  sampleRateHz: number,
  scheme: TapeScheme,
  strain: Strain,
  noiseAt: (index: number) => number,
): number[] | undefined {
  const { loader, signal } = scheme;
  if (loader === undefined || signal.kind === "phase") return undefined;
  const measure = signal.kind === "tones" || signal.measure === "cycle" ? 2 : 1;
  const crossings = findCrossings(samples, loader.hysteresisRatio, strain, noiseAt);
  const threshold =
    loader.thresholdMicroseconds * 1e-6 * strain.thresholdRatio * sampleRateHz * strain.speedRatio;
  const widths: number[] = [];
  for (let i = 0; i + measure < crossings.length; i += measure) {
    widths.push((crossings[i + measure] ?? 0) - (crossings[i] ?? 0));
  }
  if (signal.kind === "tones") {
    const reader = new FrameReader(scheme);
    const isLong = widths.map((width) => width > threshold);
    readTones(isLong, signal.cyclesPerBit, signal.highBit, reader);
    return reader.bytes;
  }
  return readPulses(widths, threshold, scheme);
}

function findCrossings(
  samples: Float32Array,
  hysteresis: number,
  { levelRatio, noise }: Strain,
  noiseAt: (index: number) => number,
): number[] {
  const crossings: number[] = [];
  let side = 0;
  let before = 0;
  for (let i = 0; i < samples.length; i += 1) {
    const value = levelRatio * (samples[i] ?? 0) + (noise > 0 ? noise * noiseAt(i) : 0);
    const now = value > hysteresis ? 1 : value < -hysteresis ? -1 : 0;
    if (now !== 0 && now !== side) {
      const edge = now * hysteresis;
      const share = value === before ? 0 : (value - edge) / (value - before);
      if (side !== 0 || now > 0) crossings.push(i - Math.max(0, Math.min(1, share)));
      side = now;
    }
    before = value;
  }
  return crossings;
}

/** Cycles of tones to bits: a bit has so many cycles of the tone that its first cycle has. */
function readTones(isLong: readonly boolean[], cycles: number, highBit: 0 | 1, reader: FrameReader): void {
  for (let i = 0; i < isLong.length; ) {
    const first = isLong[i] === true;
    const bit = first ? 1 - highBit : highBit;
    if (reader.isIdle && bit === reader.idleBit) {
      i += 1;
      continue;
    }
    reader.add(bit);
    i += first ? cycles / 2 : cycles;
  }
}

function readPulses(widths: readonly number[], threshold: number, scheme: TapeScheme): number[] | undefined {
  const { signal } = scheme;
  if (signal.kind !== "pulses") return undefined;
  const micro = new Map(signal.lengths.map(({ name, microseconds }) => [name, microseconds]));
  const nominal = scheme.loader?.thresholdMicroseconds ?? 0;
  const longs = (names: readonly string[]): boolean[] =>
    names.map((name) => (micro.get(name) ?? 0) > nominal);
  const zero = longs(signal.zero);
  const one = longs(signal.one);
  if (zero.join() === one.join()) return undefined;
  const sync = scheme.sync ?? [];
  const reader = new FrameReader(scheme);
  let i = 0;
  if (sync.length > 0) {
    // A loader waits for the sync pulse: much shorter or longer than the leader.
    const syncMicro = micro.get(sync[0] ?? "") ?? 0;
    const leaderMicro = micro.get(scheme.leader.pulse ?? "") ?? 0;
    const border = (Math.sqrt(syncMicro * leaderMicro) / nominal) * threshold;
    while (i < widths.length && (widths[i] ?? 0) > border !== syncMicro > leaderMicro) i += 1;
    i += sync.length;
  }
  while (i < widths.length) {
    const isLong = (widths[i] ?? 0) > threshold;
    const bit = (one[0] === isLong ? 1 : 0) as 0 | 1;
    if (reader.isIdle && reader.hasStart && bit !== reader.startBit) {
      i += bit === 1 ? one.length : zero.length;
      continue;
    }
    reader.add(bit);
    i += bit === 1 ? one.length : zero.length;
  }
  return reader.bytes;
}

/** Puts bits together to bytes. */
class FrameReader {
  readonly bytes: number[] = [];
  private readonly pattern: readonly number[];
  private place = 0;
  private value = 0;

  constructor(scheme: TapeScheme) {
    this.pattern = framePattern(scheme);
  }

  get isIdle(): boolean {
    return this.place === 0;
  }

  get idleBit(): number {
    return this.pattern.at(-1) ?? 1;
  }

  get hasStart(): boolean {
    return (this.pattern[0] ?? -1) >= 0;
  }

  get startBit(): number {
    return this.pattern[0] ?? 0;
  }

  add(bit: number): void {
    const fixed = this.pattern[this.place] ?? -1;
    if (fixed < 0 && fixed > -10 && bit === 1) this.value |= 1 << (-1 - fixed);
    this.place += 1;
    if (this.place < this.pattern.length) return;
    this.bytes.push(this.value);
    this.place = 0;
    this.value = 0;
  }
}
