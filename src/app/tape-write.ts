import { type WavSampleFormat, wavFile } from "../core/signal/wav-write.js";
import { blocksHalfWaves, encodeTape, type RecordingOptions, renderHalfWaves } from "../core/tape/encode.js";
import type { TapeScheme } from "../core/tape/scheme.js";
import type { TapeReading } from "./tape-read.js";
import { usage } from "./usage.js";

/** Most bytes that are put on one recording. */
export const maximumTapeBytes = 1 << 20;

/** How a recording is to be made. */
export interface TapeWriteOptions extends RecordingOptions {
  readonly format: WavSampleFormat;
}

/** A WAV file with bytes on it, after a scheme. Throws `usage` for options that cannot be. */
export function writeRecording(scheme: TapeScheme, bytes: Uint8Array, options: TapeWriteOptions): Uint8Array {
  return made(() => wavFile([encodeTape(scheme, bytes, options)], options.sampleRateHz, options.format));
}

/**
 * A worn recording made anew as a WAV file: its blocks as they were read, headers and check values included, offered
 * repairs made only with `isRepaired`. Throws `usage` for options that cannot be.
 */
export function renderAnew(
  reading: TapeReading,
  options: TapeWriteOptions & { readonly isRepaired: boolean },
): Uint8Array {
  const blocks = reading.blocks.map(({ firstByte, lastByte, repair }) =>
    Array.from({ length: lastByte - firstByte }, (_, i) =>
      options.isRepaired && repair?.byte === firstByte + i ? repair.to : reading.tape.value(firstByte + i),
    ),
  );
  return made(() => {
    const samples = renderHalfWaves(blocksHalfWaves(reading.scheme, blocks, options.leaderSeconds), options);
    return wavFile([samples], options.sampleRateHz, options.format);
  });
}

function made(make: () => Uint8Array): Uint8Array {
  try {
    return make();
  } catch (cause) {
    if (cause instanceof RangeError) throw usage(`Such a recording cannot be made: ${cause.message}.`);
    throw cause;
  }
}
