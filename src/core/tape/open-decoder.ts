import { PulseDecoder } from "./pulse-decoder.js";
import { framePattern, type TapeScheme } from "./scheme.js";
import type { SoftByte } from "./soft-byte.js";
import { ToneDecoder } from "./tone-decoder.js";

/** Turns the samples of one channel into bytes. */
export interface TapeDecoder {
  push(samples: Float32Array): void;
  /** The recording is over. */
  finish(): void;
  /** Bytes found since the last call, in order. */
  take(): SoftByte[];
}

/** How far the speed of a tape may be off. */
export const speedReachRatio = 0.25;

/** The decoder that a scheme asks for. */
export function openDecoder(scheme: TapeScheme, sampleRateHz: number): TapeDecoder {
  const { signal } = scheme;
  if (signal.kind !== "tones") return new PulseDecoder(scheme, sampleRateHz);
  const pattern = framePattern(scheme);
  return new ToneDecoder({
    sampleRateHz,
    highHz: signal.highHz,
    highBit: signal.highBit,
    bitTicks: signal.cyclesPerBit,
    frame: {
      bitTicks: signal.cyclesPerBit,
      bits: pattern.length,
      pattern: Int8Array.from(pattern, (bit) => (bit === -10 ? -2 : Math.max(-1, bit))),
      idleBit: pattern.at(-1) === 0 ? 0 : 1,
    },
    bitWeights: Int8Array.from(pattern, (bit) => (bit < 0 && bit > -10 ? -1 - bit : -1)),
    reachRatio: speedReachRatio,
  });
}
