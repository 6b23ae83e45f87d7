import type { Parsed, Problem } from "../base/problem.js";
import { type Dropout, findDropouts } from "./dropouts.js";
import { type Flutter, leastReadingSeconds, measureFlutter } from "./flutter.js";
import { type Noise, usualNoise } from "./noise.js";
import { type Azimuth, levelsOf, measureAzimuth, measureResponse, type ToneLevel } from "./response.js";
import {
  cassetteSpeedMetresPerSecond,
  causesOf,
  type DeckGeometry,
  type FlutterCause,
  turningParts,
} from "./rotation.js";
import { type FlutterPeak, type FlutterSpectrum, findPeaks, flutterSpectrum } from "./spectrum.js";
import { guessTone, measureSpeed, type SpeedError, speedErrorRatio } from "./speed.js";
import { decibelOf, meanOf, medianOf, quantileOf } from "./statistics.js";
import type { ToneFrame } from "./tone-frames.js";
import type { ToneTrack } from "./tone-track.js";
import { findTones, innerFrames, type ToneStretch } from "./tones.js";

/** What the measurer knows and the recording does not tell. */
export interface MeasureOptions {
  /** The tone on the tape; the nearer reference tone if absent. */
  readonly toneHz?: number;
  /** True if the tone was recorded on the deck that plays it. */
  readonly isOwnRecording?: boolean;
  readonly geometry?: DeckGeometry;
  /** Nominal speed of the tape; that of a cassette if absent. */
  readonly speedMetresPerSecond?: number;
}

/** A flutter that stands out, and what may cause it. */
export interface TracedPeak extends FlutterPeak {
  readonly causes: readonly FlutterCause[];
}

/** How steady the level of the tone is, in decibels. */
export interface LevelSteadiness {
  /** Of each channel, of full scale. */
  readonly channelDecibel: readonly number[];
  /** Distance of the levels that nine of ten tenths of a second lie between. */
  readonly spreadDecibel: number;
}

/** Everything measured from one recording of a reference tone. */
export interface DeckReading {
  /** Length of the whole recording. */
  readonly seconds: number;
  /** Where the tone is that was measured. */
  readonly toneStartSeconds: number;
  readonly toneEndSeconds: number;
  /** The tone that the speed is judged against. */
  readonly toneHz: number;
  /** The other tone that it could be; undefined if there is no doubt or it was given. */
  readonly otherToneHz: number | undefined;
  readonly measuredHz: number;
  readonly isOwnRecording: boolean;
  readonly speed: SpeedError;
  /** Undefined if the tone is too short. */
  readonly flutter: Flutter | undefined;
  readonly spectrum: FlutterSpectrum;
  /** The greatest first. */
  readonly peaks: readonly TracedPeak[];
  /** Counted from the beginning of the recording. */
  readonly dropouts: readonly Dropout[];
  readonly level: LevelSteadiness;
  /** Speed error along the tone, one value for each tenth of a second. */
  readonly speedCurveRatio: Float32Array;
  readonly noise: Noise | undefined;
  readonly response: readonly ToneLevel[];
  readonly azimuth: Azimuth | undefined;
}

/** What a recording was turned into while it was read. */
export interface Gathered {
  readonly seconds: number;
  readonly track: ToneTrack;
  readonly frames: readonly (ToneFrame | undefined)[];
  readonly frameSeconds: number;
  /** Of each frame with a reference tone. */
  readonly noises: readonly Noise[];
  readonly isSameSignal: boolean;
}

/** Reference tones at speeds that a deck can run at. */
const lowestToneHz = 2000;
const highestToneHz = 4200;
/** Losses of the tone up to this length do not end a reading. */
const mostGapSeconds = 2;
/** A tone that comes and goes leaves a mark on the frequency for so long. */
const edgeSeconds = 0.05;
const curveSeconds = 0.1;

/**
 * The reading of a deck. Without a value the problems say why.
 * Codes: `deck-no-samples`, `deck-silence`, `deck-no-tone`, `deck-tone-short`, `deck-tone-ambiguous`, `deck-clipped`.
 */
export function readDeck(gathered: Gathered, options: MeasureOptions): Parsed<DeckReading> {
  const { track, frames, frameSeconds } = gathered;
  const tones = findTones(frames, frameSeconds);
  const tone = longestReference(tones);
  const range = tone === undefined ? undefined : toneRange(track, tone);
  if (tone === undefined || range === undefined) return { problems: [whyNoTone(gathered, tones)] };
  const offsets = track.offsetHz.subarray(range.start, range.end);
  const amplitude = track.amplitude.subarray(range.start, range.end);
  const toneStartSeconds = range.start / track.rateHz;
  const dropouts = findDropouts(amplitude, track.rateHz);
  bridge(offsets, track.rateHz, dropouts);
  const measuredHz = meanOf(offsets) + track.centreHz;
  // The stretches show tones of both channels, the track that of one.
  if (measuredHz < lowestToneHz || measuredHz > highestToneHz)
    return { problems: [whyNoTone(gathered, tones)] };
  const guess = options.toneHz === undefined ? guessTone(measuredHz) : { toneHz: options.toneHz };
  const speed = measureSpeed(offsets, track.rateHz, track.centreHz, guess.toneHz);
  const speedCurveRatio = curve(offsets, track, guess.toneHz);
  for (let i = 0; i < offsets.length; i += 1) {
    offsets[i] = ((offsets[i] ?? 0) + track.centreHz) / measuredHz - 1;
  }
  const flutter = measureFlutter(offsets, track.rateHz);
  const spectrum = flutterSpectrum(offsets, track.rateHz);
  const nominal = options.speedMetresPerSecond ?? cassetteSpeedMetresPerSecond;
  const parts = turningParts(options.geometry ?? {}, nominal * (1 + speed.meanRatio));
  const reading: DeckReading = {
    seconds: gathered.seconds,
    toneStartSeconds,
    toneEndSeconds: range.end / track.rateHz,
    toneHz: guess.toneHz,
    otherToneHz: guess.otherHz,
    measuredHz,
    isOwnRecording: options.isOwnRecording === true,
    speed,
    flutter,
    spectrum,
    peaks: findPeaks(spectrum).map((peak) => ({ ...peak, causes: causesOf(peak.hz, parts) })),
    dropouts: dropouts.map((found) => ({ ...found, startSeconds: found.startSeconds + toneStartSeconds })),
    level: steadiness(amplitude, track.rateHz, innerFrames(tone)),
    speedCurveRatio,
    noise: usualNoise(gathered.noises),
    response: measureResponse(tones),
    azimuth: measureAzimuth(tones, gathered.isSameSignal, nominal),
  };
  // As it was, so that the same recording can be read again with something else known of it.
  for (let i = 0; i < offsets.length; i += 1) {
    offsets[i] = (1 + (offsets[i] ?? 0)) * measuredHz - track.centreHz;
  }
  return { value: reading, problems: doubts(reading) };
}

function longestReference(tones: readonly ToneStretch[]): ToneStretch | undefined {
  const joined: ToneStretch[] = [];
  for (const tone of tones) {
    if (tone.hz < lowestToneHz || tone.hz > highestToneHz) continue;
    const last = joined.at(-1);
    const goesOn =
      last !== undefined &&
      tone.startSeconds - last.endSeconds <= mostGapSeconds &&
      Math.abs(tone.hz / last.hz - 1) < 0.02;
    if (goesOn) joined.pop();
    joined.push(
      goesOn ? { ...last, endSeconds: tone.endSeconds, frames: [...last.frames, ...tone.frames] } : tone,
    );
  }
  return joined.sort((a, b) => b.frames.length - a.frames.length)[0];
}

/** First and last place of the track, the last not included, between which the tone sounds. */
function toneRange(
  track: ToneTrack,
  { startSeconds, endSeconds }: ToneStretch,
): { readonly start: number; readonly end: number } | undefined {
  const { rateHz, amplitude } = track;
  let start = Math.max(0, Math.floor((startSeconds - 0.5) * rateHz));
  let end = Math.min(amplitude.length, Math.ceil((endSeconds + 0.5) * rateHz));
  const limit = 0.7 * medianOf(amplitude.subarray(start, end));
  while (start < end && (amplitude[start] ?? 0) < limit) start += 1;
  while (end > start && (amplitude[end - 1] ?? 0) < limit) end -= 1;
  const edge = Math.ceil(edgeSeconds * rateHz);
  start += edge;
  end -= edge;
  return end - start < rateHz / 2 ? undefined : { start, end };
}

/** What a loss of level does to the frequency around it. */
const guardSeconds = 0.016;

/** Draws a straight line through the frequency where the tone was lost. */
function bridge(offsets: Float32Array, rateHz: number, dropouts: readonly Dropout[]): void {
  let done = 0;
  for (const { startSeconds, durationSeconds } of dropouts) {
    const from = Math.max(done, Math.floor((startSeconds - guardSeconds) * rateHz));
    const to = Math.min(
      offsets.length - 1,
      Math.ceil((startSeconds + durationSeconds + guardSeconds) * rateHz),
    );
    const first = from > 0 ? (offsets[from] ?? 0) : (offsets[to] ?? 0);
    const last = to < offsets.length - 1 ? (offsets[to] ?? 0) : first;
    for (let i = from; i <= to; i += 1)
      offsets[i] = first + ((last - first) * (i - from)) / Math.max(1, to - from);
    done = to;
  }
}

function curve(offsets: Float32Array, { rateHz, centreHz }: ToneTrack, toneHz: number): Float32Array {
  const step = Math.max(1, Math.round(curveSeconds * rateHz));
  return Float32Array.from({ length: Math.floor(offsets.length / step) }, (_, i) =>
    speedErrorRatio(meanOf(offsets.subarray(i * step, (i + 1) * step)) + centreHz, toneHz),
  );
}

function steadiness(amplitude: Float32Array, rateHz: number, frames: readonly ToneFrame[]): LevelSteadiness {
  const step = Math.max(1, Math.round(0.1 * rateHz));
  const levels = Array.from({ length: Math.floor(amplitude.length / step) }, (_, i) =>
    decibelOf(meanOf(amplitude.subarray(i * step, (i + 1) * step))),
  );
  return {
    channelDecibel: levelsOf(frames),
    spreadDecibel: quantileOf(levels, 0.95) - quantileOf(levels, 0.05),
  };
}

function whyNoTone({ seconds, frames }: Gathered, tones: readonly ToneStretch[]): Problem {
  const refuse = (code: string, message: string, hint: string): Problem => ({
    code,
    severity: "error",
    message,
    where: { seconds: 0 },
    hint,
  });
  const again = "Play a tape with a tone of 3150 or 3000 Hz and record for 30 seconds or more.";
  if (seconds === 0) return refuse("deck-no-samples", "The recording holds no samples.", again);
  if (seconds < 2) {
    return refuse("deck-no-samples", `The recording is only ${seconds.toFixed(2)} s long.`, again);
  }
  if (!frames.some((frame) => frame !== undefined && Math.max(...frame.amplitudes) > 1e-4)) {
    return refuse("deck-silence", "The recording is silent.", "Look at the lead, the input and its level.");
  }
  const [tone] = [...tones].sort((a, b) => b.frames.length - a.frames.length);
  const heard = tone === undefined ? "" : `; the longest steady tone is at ${tone.hz.toFixed(0)} Hz`;
  const message = `There is no steady tone between ${lowestToneHz} and ${highestToneHz} Hz${heard}.`;
  return refuse("deck-no-tone", message, again);
}

function doubts(reading: DeckReading): Problem[] {
  const { toneStartSeconds: start, toneEndSeconds: end } = reading;
  const found: Problem[] = [];
  const warn = (code: string, message: string, hint: string): void => {
    found.push({ code, severity: "warning", message, where: { seconds: start }, hint });
  };
  if (reading.otherToneHz !== undefined) {
    const other = (100 * speedErrorRatio(reading.measuredHz, reading.otherToneHz)).toFixed(2);
    warn(
      "deck-tone-ambiguous",
      `The tone of ${reading.measuredHz.toFixed(1)} Hz may be ${reading.toneHz} or ${reading.otherToneHz} Hz; ${reading.toneHz} is taken, and with the other the speed error would be ${other} %.`,
      "Say which tone is on the tape.",
    );
  }
  if (end - start < leastReadingSeconds) {
    const message = `The tone lasts only ${(end - start).toFixed(1)} s; wow and flutter need ${leastReadingSeconds} s.`;
    warn("deck-tone-short", message, "Record 30 seconds or more.");
  }
  if (reading.level.channelDecibel.some((level) => level > -0.2)) {
    warn(
      "deck-clipped",
      "The tone reaches full scale and may be clipped.",
      "Turn the level down and record again.",
    );
  }
  return found;
}
