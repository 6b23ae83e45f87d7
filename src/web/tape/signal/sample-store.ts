import type { AudioBlock, AudioSource } from "../../../core/signal/samples.js";

/** Samples of a channel in one chunk. */
const chunkSamples = 65536;
/** Most samples of all channels together that are kept: 800 MB. */
export const mostSamples = 400_000_000;

interface Chunk {
  readonly scale: number;
  readonly values: Int16Array;
}

/**
 * The samples of a recording, two bytes each: every chunk of 65,536 has a scale of its own, so that what is lost lies
 * 96 dB below the loudest sample of its chunk, however quiet the recording is. Grows at its end.
 */
export class SampleStore {
  readonly sampleRateHz: number;
  private readonly channels: { readonly chunks: Chunk[]; open: Float32Array; filled: number }[];
  private total = 0;

  constructor(sampleRateHz: number, channelCount: number) {
    this.sampleRateHz = sampleRateHz;
    this.channels = Array.from({ length: channelCount }, () => ({
      chunks: [],
      open: new Float32Array(chunkSamples),
      filled: 0,
    }));
  }

  get channelCount(): number {
    return this.channels.length;
  }

  /** Samples of each channel. */
  get samples(): number {
    return this.total;
  }

  /** Adds a block; false if there is no room for it, and then it is not added. */
  push({ channels }: AudioBlock): boolean {
    const count = channels[0]?.length ?? 0;
    if ((this.total + count) * this.channels.length > mostSamples) return false;
    for (const [number, channel] of this.channels.entries()) {
      const samples = channels[number] ?? new Float32Array(count);
      for (let at = 0; at < count; ) {
        const part = samples.subarray(at, at + chunkSamples - channel.filled);
        channel.open.set(part, channel.filled);
        channel.filled += part.length;
        at += part.length;
        if (channel.filled < chunkSamples) continue;
        channel.chunks.push(pack(channel.open));
        channel.filled = 0;
      }
    }
    this.total += count;
    return true;
  }

  /** Samples of a channel, or the mean of all of them, from `from` on; fewer at the end. */
  read(from: number, count: number, channel: number | "mean"): Float32Array {
    const start = Math.max(0, Math.min(this.total, Math.floor(from)));
    const out = new Float32Array(Math.max(0, Math.min(count, this.total - start)));
    const wanted = channel === "mean" ? this.channels : this.channels.slice(channel, channel + 1);
    for (const { chunks, open } of wanted) {
      for (let i = 0; i < out.length; ) {
        const number = Math.floor((start + i) / chunkSamples);
        const offset = (start + i) % chunkSamples;
        const end = Math.min(out.length - i, chunkSamples - offset);
        const chunk = chunks[number];
        const factor = (chunk?.scale ?? 1) / wanted.length;
        const values = chunk?.values ?? open;
        for (let k = 0; k < end; k += 1) out[i + k] = (out[i + k] ?? 0) + factor * (values[offset + k] ?? 0);
        i += end;
      }
    }
    return out;
  }

  /** The recording as it is read block by block; `between` is awaited before each block. */
  source(between: (readShare: number) => Promise<void>): AudioSource {
    return {
      sampleRateHz: this.sampleRateHz,
      channelCount: this.channels.length,
      totalSeconds: this.total / this.sampleRateHz,
      blocks: this.blocks(between),
      problems: [],
    };
  }

  private async *blocks(between: (readShare: number) => Promise<void>): AsyncGenerator<AudioBlock> {
    for (let at = 0; at < this.total; at += chunkSamples) {
      await between(at / this.total);
      yield { channels: this.channels.map((_, channel) => this.read(at, chunkSamples, channel)) };
    }
  }
}

function pack(samples: Float32Array): Chunk {
  let peak = 0;
  for (const sample of samples) peak = Math.max(peak, Math.abs(sample));
  const values = new Int16Array(samples.length);
  if (peak === 0) return { scale: 0, values };
  for (let i = 0; i < samples.length; i += 1) values[i] = Math.round(((samples[i] ?? 0) / peak) * 32767);
  return { scale: peak / 32767, values };
}
