import { type ChannelAngle, type HeadTilt, headTilt } from "./azimuth.js";
import { decibelOf, medianOf } from "./statistics.js";
import type { ToneFrame } from "./tone-frames.js";
import { innerFrames, type ToneStretch } from "./tones.js";

/** The level of one test tone in each channel. */
export interface ToneLevel {
  readonly hz: number;
  readonly seconds: number;
  /** Decibels of full scale. */
  readonly decibel: readonly number[];
  /** Against the tone that the others are compared with. */
  readonly relativeDecibel: readonly number[];
}

/** How the two channels of a deck stand to each other. */
export interface Azimuth {
  /** Undefined where the channels show no steady angle. */
  readonly tilt?: HeadTilt;
  /** Angles of the tones that were used. */
  readonly angles: readonly ChannelAngle[];
  /** Mean of left less right over the reference tone. */
  readonly balanceDecibel: number;
  /** True if both channels are the same samples: then they say nothing of the head. */
  readonly isSameSignal: boolean;
}

/**
 * Levels of the tones of a recording, in rising frequency, each tone once (its longest stretch), against the tone nearest
 * to 400 Hz if there is one below 1200 Hz, else against the one nearest to 3075 Hz.
 */
export function measureResponse(tones: readonly ToneStretch[]): ToneLevel[] {
  const longest: ToneStretch[] = [];
  for (const tone of [...tones].sort((a, b) => b.frames.length - a.frames.length)) {
    if (!longest.some(({ hz }) => Math.abs(hz / tone.hz - 1) < 0.05)) longest.push(tone);
  }
  const near = (wanted: number, list: readonly ToneStretch[]): ToneStretch | undefined =>
    [...list].sort((a, b) => Math.abs(Math.log(a.hz / wanted)) - Math.abs(Math.log(b.hz / wanted)))[0];
  const base =
    near(
      400,
      longest.filter(({ hz }) => hz < 1200),
    ) ?? near(3075, longest);
  if (base === undefined) return [];
  const baseLevels = levelsOf(innerFrames(base));
  return longest
    .sort((a, b) => a.hz - b.hz)
    .map((tone) => {
      const decibel = levelsOf(innerFrames(tone));
      return {
        hz: tone.hz,
        seconds: tone.endSeconds - tone.startSeconds,
        decibel,
        relativeDecibel: decibel.map((level, channel) => level - (baseLevels[channel] ?? level)),
      };
    });
}

/** Median level of each channel. */
export function levelsOf(frames: readonly ToneFrame[]): number[] {
  const channels = frames[0]?.amplitudes.length ?? 0;
  return Array.from({ length: channels }, (_, channel) =>
    decibelOf(medianOf(frames.map(({ amplitudes }) => amplitudes[channel] ?? 0))),
  );
}

/** Angles are believed if the channels keep them at least so steadily. */
const leastCoherence = 0.7;
/** Below this the waves are so long that their angle says little. */
const lowestAngleHz = 900;

/**
 * How the channels stand to each other, from the angles of all steady tones; undefined for one channel or without a tone.
 */
export function measureAzimuth(
  tones: readonly ToneStretch[],
  isSameSignal: boolean,
  speedMetresPerSecond: number,
): Azimuth | undefined {
  const angles: ChannelAngle[] = [];
  let balance: number | undefined;
  for (const tone of [...tones].sort((a, b) => b.frames.length - a.frames.length)) {
    const frames = innerFrames(tone).filter(({ coherence = 0 }) => coherence >= leastCoherence);
    const [left, right] = levelsOf(innerFrames(tone));
    if (left === undefined || right === undefined) continue;
    balance ??= left - right;
    if (frames.length === 0 || tone.hz < lowestAngleHz) continue;
    if (angles.some(({ hz }) => Math.abs(hz / tone.hz - 1) < 0.05)) continue;
    angles.push({ hz: tone.hz, aheadRadians: meanAngle(frames.map(({ aheadRadians = 0 }) => aheadRadians)) });
  }
  if (balance === undefined) return undefined;
  angles.sort((a, b) => a.hz - b.hz);
  const tilt = isSameSignal ? undefined : headTilt(angles, speedMetresPerSecond);
  return { angles, balanceDecibel: balance, isSameSignal, ...(tilt === undefined ? {} : { tilt }) };
}

/** Direction of the sum of unit vectors. */
function meanAngle(angles: readonly number[]): number {
  const re = angles.reduce((sum, angle) => sum + Math.cos(angle), 0);
  const im = angles.reduce((sum, angle) => sum + Math.sin(angle), 0);
  return Math.atan2(im, re);
}
