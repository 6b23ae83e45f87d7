import { createRandom } from "../base/random.js";
import { encodeTape } from "./encode.js";
import { loadAsMachine, type Strain } from "./loader.js";
import type { TapeScheme } from "./scheme.js";

/** How far each thing may drift alone before the loader makes a mistake. */
export interface TapeMargins {
  /** Speed error in percent, slowest and fastest that still load. */
  readonly slowestPercent: number;
  readonly fastestPercent: number;
  /** Level in decibels against the recording's, the lowest and the highest that still load. */
  readonly quietestDecibel: number;
  /** White noise in decibels below the signal, over the whole band of the recording, at which it still loads. */
  readonly noiseDecibel: number;
  /** Threshold of the loader in percent of its length, lowest and highest that still load. */
  readonly thresholdLowPercent: number;
  readonly thresholdHighPercent: number;
}

const still: Strain = { speedRatio: 1, levelRatio: 1, noise: 0, thresholdRatio: 1 };

/**
 * Margins of a described loader on a recording made of `bytes` or on samples given. Undefined if the scheme describes no
 * loader that can be played through, or if it cannot load the recording as it is.
 */
export function tapeMargins(
  scheme: TapeScheme,
  bytes: Uint8Array,
  recording: { readonly samples: Float32Array; readonly sampleRateHz: number },
  seed: number,
): TapeMargins | undefined {
  const { samples, sampleRateHz } = recording;
  const random = createRandom(seed);
  // One run of normal variables serves every level of noise, so that more noise is never easier by chance.
  const normal = Float32Array.from({ length: 65536 }, () => {
    const u = 1 - random.next();
    return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * random.next());
  });
  const loads = (change: Partial<Strain>): boolean => {
    const got = loadAsMachine(
      samples,
      sampleRateHz,
      scheme,
      { ...still, ...change },
      (i) => normal[(i * 7) & 65535] ?? 0,
    );
    return got !== undefined && holds(got, bytes);
  };
  if (!loads({})) return undefined;
  let power = 0;
  for (const value of samples) power += value * value;
  const rms = Math.sqrt(power / Math.max(1, samples.length));
  const decibels = (steps: number): number => 10 ** (-steps / 20);
  return {
    slowestPercent: -furthest(60, (percent) => loads({ speedRatio: 1 - percent / 100 })),
    fastestPercent: furthest(60, (percent) => loads({ speedRatio: 1 + percent / 100 })),
    quietestDecibel: -furthest(60, (down) => loads({ levelRatio: decibels(down) })),
    noiseDecibel: 60 - furthest(60, (up) => loads({ noise: rms * decibels(60 - up) })),
    thresholdLowPercent: 100 - furthest(60, (percent) => loads({ thresholdRatio: 1 - percent / 100 })),
    thresholdHighPercent: 100 + furthest(100, (percent) => loads({ thresholdRatio: 1 + percent / 100 })),
  };
}

/** True if the bytes stand one after the other in what the loader read. */
function holds(got: readonly number[], bytes: Uint8Array): boolean {
  for (let start = 0; start + bytes.length <= got.length; start += 1) {
    let same = 0;
    while (same < bytes.length && got[start + same] === bytes[same]) same += 1;
    if (same === bytes.length) return true;
  }
  return false;
}

/** The largest whole number of steps at which all is well, up to `most`; the first failure ends the search. */
function furthest(most: number, isWell: (steps: number) => boolean): number {
  for (let steps = 1; steps <= most; steps += 1) if (!isWell(steps)) return steps - 1;
  return most;
}

/** A recording made for a margin check: the scheme's bytes at half level, with a short leader. */
export function marginRecording(scheme: TapeScheme, bytes: Uint8Array, sampleRateHz: number): Float32Array {
  return encodeTape(scheme, bytes, { sampleRateHz, leaderSeconds: 0.5 });
}
