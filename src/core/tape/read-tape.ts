import type { AudioSource } from "../signal/samples.js";
import { findBlocks, type TapeBlock } from "./blocks.js";
import { channelsReach, combineTapes } from "./combine.js";
import { openDecoder, type TapeDecoder } from "./open-decoder.js";
import type { TapeScheme } from "./scheme.js";
import { SoftTape } from "./soft-byte.js";

/** A recording as bytes. */
export interface ReadTape {
  readonly tape: SoftTape;
  readonly blocks: readonly TapeBlock[];
  readonly secondsOfAudio: number;
  /** What was listened to: the only channel, or left, right and their mean together. */
  readonly channels: "mono" | "left, right and mean";
  /** Loudest sample as a share of full scale, and share of samples that were cut off there. */
  readonly peak: number;
  readonly clippedShare: number;
}

/** What is told while a recording is read. */
export type TapeProgress = (secondsDone: number) => void;

/**
 * Reads a recording block by block. Speed, polarity and level are found, not asked for. Of a stereo recording both
 * channels and their mean are decoded and put together byte by byte.
 */
export async function readTape(
  source: AudioSource,
  scheme: TapeScheme,
  onProgress: TapeProgress = () => {},
): Promise<ReadTape> {
  const isMono = source.channelCount === 1;
  const decoders: TapeDecoder[] = [];
  const tapes: SoftTape[] = [];
  for (let i = 0; i < (isMono ? 1 : 3); i += 1) {
    decoders.push(openDecoder(scheme, source.sampleRateHz));
    tapes.push(new SoftTape());
  }
  const collect = (): void =>
    decoders.forEach((decoder, i) => {
      for (const byte of decoder.take()) tapes[i]?.push(byte);
    });
  const meter = new LevelMeter();
  let samples = 0;
  for await (const { channels } of source.blocks) {
    const [left, right] = channels;
    if (left === undefined) continue;
    samples += left.length;
    meter.add(left);
    decoders[0]?.push(left);
    if (!isMono && right !== undefined) {
      meter.add(right);
      decoders[1]?.push(right);
      decoders[2]?.push(left.map((value, i) => (value + (right[i] ?? 0)) / 2));
    }
    collect();
    onProgress(samples / source.sampleRateHz);
  }
  for (const decoder of decoders) decoder.finish();
  collect();
  const tape = isMono ? tapes[0] : combineTapes(tapes, channelsReach);
  const read = tape ?? new SoftTape();
  return {
    tape: read,
    blocks: findBlocks(read, scheme.block),
    secondsOfAudio: samples / source.sampleRateHz,
    channels: isMono ? "mono" : "left, right and mean",
    peak: meter.peak,
    clippedShare: meter.clippedShare,
  };
}

class LevelMeter {
  peak = 0;
  private clipped = 0;
  private count = 0;

  add(samples: Float32Array): void {
    let { peak } = this;
    let flat = 0;
    for (let i = 0; i < samples.length; i += 1) {
      const size = Math.abs(samples[i] ?? 0);
      if (size > peak) peak = size;
      // One sample at full scale is the top of a loud wave; three in a row have been cut off.
      flat = size >= 0.999 ? flat + 1 : 0;
      if (flat >= 3) this.clipped += flat === 3 ? 3 : 1;
    }
    this.peak = peak;
    this.count += samples.length;
  }

  get clippedShare(): number {
    return this.count === 0 ? 0 : this.clipped / this.count;
  }
}

/** Mean speed error over some bytes of a tape, in percent; undefined without bytes. */
export function meanSpeedErrorPercent(tape: SoftTape, from = 0, to = tape.length): number | undefined {
  if (to <= from) return undefined;
  let sum = 0;
  for (let i = from; i < to; i += 1) sum += tape.speedRatio(i);
  return 100 * (sum / (to - from) - 1);
}
