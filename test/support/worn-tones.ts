import { createRandom, type Random } from "../../src/core/base/random.js";

/** What is done to a recording of keyed tones; whatever is absent is not done. */
export interface Wear {
  /** Signal power over the power of white noise in the whole band, in decibels. */
  readonly noiseDecibel?: number;
  readonly speedRatio?: number;
  /** Speed gained in a minute, as a ratio. */
  readonly driftRatio?: number;
  /** Sine flutter: peak as a ratio, frequency in hertz. */
  readonly flutter?: readonly (readonly [ratio: number, hertz: number])[];
  /** Butterworth low-pass: edge in hertz, poles (even). */
  readonly lowPass?: readonly [hertz: number, poles: number];
  /** Dropouts: milliseconds, gain inside, how many a second. */
  readonly dropouts?: readonly [milliseconds: number, gain: number, aSecond: number];
  /** 50 Hz hum against the signal's peak, in decibels; clipped at full scale. */
  readonly humDecibel?: number;
  readonly offset?: number;
  readonly gain?: number;
  readonly isSquare?: boolean;
  readonly isInverted?: boolean;
}

/**
 * A recording of bytes in tones of 2400 and 1200 Hz with one start and two stop bits, two seconds of leader, peak 0.5, and
 * then worn. Made sample by sample from the bits, without the product's own encoder, so that the two check each other.
 */
export function wornTones(
  bytes: Uint8Array,
  {
    baud,
    sampleRateHz,
    seed,
  }: { readonly baud: number; readonly sampleRateHz: number; readonly seed: number },
  wear: Wear,
): Float32Array {
  const random = createRandom(seed);
  const bits = [...new Array<number>(2 * baud).fill(1)];
  for (const byte of bytes) {
    bits.push(0);
    for (let k = 0; k < 8; k += 1) bits.push((byte >> k) & 1);
    bits.push(1, 1);
  }
  for (let i = 0; i < baud / 2; i += 1) bits.push(1);
  const samples = keyed(bits, baud, sampleRateHz, wear, random);
  if (wear.lowPass !== undefined) lowPass(samples, wear.lowPass[0] / sampleRateHz, wear.lowPass[1]);
  if (wear.dropouts !== undefined) dropOut(samples, sampleRateHz, wear.dropouts, random);
  const deviation = wear.noiseDecibel === undefined ? 0 : Math.sqrt(0.125 / 10 ** (wear.noiseDecibel / 10));
  const hum = wear.humDecibel === undefined ? 0 : 0.5 * 10 ** (wear.humDecibel / 20);
  for (let i = 0; i < samples.length; i += 1) {
    let value = samples[i] ?? 0;
    if (deviation > 0) value += deviation * normal(random);
    if (hum > 0)
      value = Math.max(-1, Math.min(1, value + hum * Math.sin((2 * Math.PI * 50 * i) / sampleRateHz)));
    samples[i] = (value + (wear.offset ?? 0)) * (wear.gain ?? 1);
  }
  return samples;
}

function keyed(bits: number[], baud: number, rate: number, wear: Wear, random: Random): Float32Array {
  const flutter = (wear.flutter ?? []).map(([ratio, hertz]) => ({
    ratio,
    hertz,
    phase: 2 * Math.PI * random.next(),
  }));
  const seconds = bits.length / baud;
  const speed = wear.speedRatio ?? 1;
  const most = Math.ceil((1.2 * seconds * rate) / speed) + rate;
  const samples = new Float32Array(most);
  const sign = wear.isInverted === true ? -0.5 : 0.5;
  let place = 0;
  let count = 0;
  for (; count < most && place < seconds; count += 1) {
    const time = count / rate;
    const bit = Math.floor(place * baud);
    const turns = (bits[bit] === 1 ? 2400 : 1200) * (place - bit / baud);
    const value = Math.sin(2 * Math.PI * turns);
    samples[count] = sign * (wear.isSquare === true ? (value >= 0 ? 1 : -1) : value);
    let change = 1;
    for (const { ratio, hertz, phase } of flutter)
      change += ratio * Math.sin(2 * Math.PI * hertz * time + phase);
    place += (speed * (1 + ((wear.driftRatio ?? 0) * time) / 60) * change) / rate;
  }
  return samples.slice(0, count);
}

/** Butterworth sections, bilinear transform. */
function lowPass(samples: Float32Array, edgeRatio: number, poles: number): void {
  const w = Math.tan(Math.PI * edgeRatio);
  for (let s = 0; s < poles / 2; s += 1) {
    const q = 1 / (2 * Math.cos((Math.PI * (2 * s + 1)) / (2 * poles)));
    const norm = 1 / (1 + w / q + w * w);
    let [x1, x2, y1, y2] = [0, 0, 0, 0];
    for (let i = 0; i < samples.length; i += 1) {
      const x = samples[i] ?? 0;
      const y = norm * (w * w * (x + 2 * x1 + x2) - 2 * (w * w - 1) * y1 - (1 - w / q + w * w) * y2);
      [x2, x1, y2, y1] = [x1, x, y1, y];
      samples[i] = y;
    }
  }
}

function dropOut(
  samples: Float32Array,
  rate: number,
  [milliseconds, gain, aSecond]: readonly [number, number, number],
  random: Random,
): void {
  const length = Math.round((milliseconds * rate) / 1000);
  for (let k = Math.round((samples.length / rate) * aSecond); k > 0; k -= 1) {
    const start = random.below(samples.length);
    for (let i = start; i < Math.min(samples.length, start + length); i += 1)
      samples[i] = gain * (samples[i] ?? 0);
  }
}

function normal(random: Random): number {
  return Math.sqrt(-2 * Math.log(1 - random.next())) * Math.cos(2 * Math.PI * random.next());
}

/** Levenshtein distance of two byte strings in a band, and for each sent byte the place of the byte that it became; -1 if none. */
export function matchBytes(
  sent: ArrayLike<number>,
  got: ArrayLike<number>,
): { readonly edits: number; readonly places: Int32Array } {
  const band = 300;
  const width = 2 * band + 1;
  const ways = new Uint8Array((sent.length + 1) * width);
  let before = new Float64Array(width).fill(1e9);
  for (let i = 0; i <= sent.length; i += 1) {
    const row = new Float64Array(width).fill(1e9);
    for (let c = 0; c < width; c += 1) {
      const j = i + c - band;
      if (j < 0 || j > got.length) continue;
      const costs = [
        i > 0 && j > 0 ? (before[c] ?? 1e9) + (sent[i - 1] === got[j - 1] ? 0 : 1) : 1e9,
        i > 0 ? (before[c + 1] ?? 1e9) + 1 : 1e9,
        j > 0 ? (row[c - 1] ?? 1e9) + 1 : 1e9,
      ];
      const best = i === 0 && j === 0 ? 0 : Math.min(...costs);
      row[c] = best;
      ways[i * width + c] = costs.indexOf(best);
    }
    before = row;
  }
  const places = new Int32Array(sent.length).fill(-1);
  let [i, j] = [sent.length, got.length];
  const last = got.length - sent.length + band;
  const edits = before[last] ?? Math.max(sent.length, got.length);
  if (last < 0 || last >= width) return { edits: Math.max(sent.length, got.length), places };
  while (i > 0 && j > 0) {
    const way = ways[i * width + (j - i + band)] ?? 0;
    if (way === 0) {
      i -= 1;
      j -= 1;
      if (sent[i] === got[j]) places[i] = j;
    } else if (way === 1) i -= 1;
    else j -= 1;
  }
  return { edits, places };
}
