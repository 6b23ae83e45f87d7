import { renderTones, type TestToneUse, testTones, testToneUses } from "../core/deck/test-tone.js";
import type { AudioSource } from "../core/signal/samples.js";
import { audioOf } from "../core/signal/samples.js";
import { type WavSampleFormat, wavPieces } from "../core/signal/wav-write.js";
import { usage } from "./usage.js";

/** What test recordings can be for. */
export const toneUses: readonly TestToneUse[] = testToneUses;

/** What a test recording is to be. */
export interface ToneRequest {
  readonly use: TestToneUse;
  readonly toneHz: number;
  /** Of each tone. */
  readonly seconds: number;
  /** Decibels of full scale. */
  readonly levelDecibel: number;
  readonly sampleRateHz: number;
  readonly channels: number;
}

/** A test recording, ready to be written. */
export interface MadeTone {
  readonly tones: readonly number[];
  readonly seconds: number;
  readonly pieces: AsyncIterable<Uint8Array>;
}

const mostSeconds = 3600;
const format: WavSampleFormat = "pcm16";

/** Makes a test recording as a 16-bit WAV. Throws `usage` for what cannot be. */
export function makeTone(request: ToneRequest): MadeTone {
  const { use, toneHz, seconds, levelDecibel, sampleRateHz, channels } = request;
  const tones = testTones(use, { seconds, levelDecibel, speedHz: toneHz });
  const total = tones.reduce((sum, tone) => sum + tone.seconds, 0);
  if (!(seconds > 0 && total <= mostSeconds))
    throw usage(`A test recording lasts up to ${mostSeconds} seconds in all.`);
  if (!Number.isInteger(sampleRateHz) || sampleRateHz < 8000 || sampleRateHz > 192_000)
    throw usage("The sample rate must be a whole number from 8000 to 192000.");
  if (channels !== 1 && channels !== 2) throw usage("A test recording has 1 or 2 channels.");
  if (!(levelDecibel <= 0 && levelDecibel >= -60)) throw usage("The level must lie between -60 and 0 dB.");
  const high = tones.find(({ hz }) => !(hz >= 20 && hz < 0.45 * sampleRateHz));
  if (high !== undefined)
    throw usage(`A tone of ${high.hz} Hz does not fit a sample rate of ${sampleRateHz} Hz.`);
  const samples = renderTones(tones, sampleRateHz);
  const source: AudioSource = audioOf(
    Array.from({ length: channels }, () => samples),
    sampleRateHz,
  );
  return {
    tones: tones.map(({ hz }) => hz),
    seconds: samples.length / sampleRateHz,
    pieces: wavPieces(source, samples.length, format),
  };
}
