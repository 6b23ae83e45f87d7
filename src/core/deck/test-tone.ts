/** One sinusoidal change of speed. */
export interface FlutterPart {
  readonly hz: number;
  /** Greatest departure from the mean speed, as a ratio. */
  readonly depthRatio: number;
  /** Angle at the beginning; 0 if absent. */
  readonly phaseRadians?: number;
}

/** A tone of a test recording. */
export interface TonePart {
  readonly hz: number;
  readonly seconds: number;
  /** Level of a sine, in decibels below full scale. */
  readonly levelDecibel: number;
}

/** Changes of speed put into a tone, to try a meter with. */
export interface ToneOptions {
  /** Error of the mean speed; 0 if absent. */
  readonly speedErrorRatio?: number;
  readonly flutter?: readonly FlutterPart[];
}

/** Seconds over which a tone comes and goes, so that it does not click. */
const fadeSeconds = 0.01;

/**
 * Samples of tones one after the other, as a deck would play them whose speed is v(t) = (1 + error) × (1 + Σ depth ×
 * sin(2π f t + phase)). The angle of the tone is the integral of its frequency in closed form, so that nothing adds up.
 * Throws `RangeError` for a tone that the rate cannot hold and for a rate or a length that cannot be.
 */
export function renderTones(
  parts: readonly TonePart[],
  sampleRateHz: number,
  { speedErrorRatio = 0, flutter = [] }: ToneOptions = {},
): Float32Array {
  if (!(sampleRateHz > 0)) throw new RangeError(`sampleRateHz must be positive, got ${sampleRateHz}`);
  for (const { hz, seconds } of parts) {
    if (!(hz > 0 && hz < sampleRateHz / 2)) {
      throw new RangeError(`a tone must lie below ${sampleRateHz / 2} Hz, got ${hz}`);
    }
    if (!(seconds > 0 && Number.isFinite(seconds)))
      throw new RangeError(`seconds must be positive, got ${seconds}`);
  }
  const lengths = parts.map(({ seconds }) => Math.round(seconds * sampleRateHz));
  const out = new Float32Array(lengths.reduce((sum, length) => sum + length, 0));
  let start = 0;
  for (const [i, part] of parts.entries()) {
    const length = lengths[i] ?? 0;
    const amplitude = 10 ** (part.levelDecibel / 20);
    const fade = Math.max(1, Math.round(fadeSeconds * sampleRateHz));
    for (let k = 0; k < length; k += 1) {
      const angle = 2 * Math.PI * part.hz * tapeSeconds((start + k) / sampleRateHz, speedErrorRatio, flutter);
      out[start + k] = amplitude * Math.min(1, k / fade, (length - 1 - k) / fade) * Math.sin(angle);
    }
    start += length;
  }
  return out;
}

/** How much tape, in seconds at its right speed, has passed at a time: the integral of the speed. */
function tapeSeconds(seconds: number, errorRatio: number, flutter: readonly FlutterPart[]): number {
  let tape = seconds;
  for (const { hz, depthRatio, phaseRadians = 0 } of flutter) {
    const angle = 2 * Math.PI * hz;
    tape += (depthRatio / angle) * (Math.cos(phaseRadians) - Math.cos(angle * seconds + phaseRadians));
  }
  return (1 + errorRatio) * tape;
}

/** What a test recording is for. */
export const testToneUses = ["speed", "azimuth", "response"] as const;
export type TestToneUse = (typeof testToneUses)[number];

/** What can be chosen of a test recording. */
export interface TestToneWish {
  /** Seconds of a speed tone, and of each tone of the others. */
  readonly seconds: number;
  readonly levelDecibel: number;
  /** The speed tone. */
  readonly speedHz: number;
}

/**
 * The tones of a test recording: for `speed` one tone; for `azimuth` the speed tone and then 6300 and 10 000 Hz; for
 * `response` tones from 315 Hz to 12 500 Hz. Which tones azimuth and response are set with: common practice, no source.
 */
export function testTones(use: TestToneUse, { seconds, levelDecibel, speedHz }: TestToneWish): TonePart[] {
  const others: Readonly<Record<TestToneUse, readonly number[]>> = {
    speed: [speedHz],
    azimuth: [speedHz, 6300, 10_000],
    response: [315, 1000, speedHz, 6300, 8000, 10_000, 12_500],
  };
  return others[use].map((hz) => ({ hz, seconds, levelDecibel }));
}
