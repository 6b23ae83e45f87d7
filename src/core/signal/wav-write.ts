import type { AudioSource } from "./samples.js";
import { encodeFrames, type WavEncoding } from "./wav-samples.js";

/** How samples are written. */
export const wavSampleFormats = ["pcm8", "pcm16", "pcm24", "pcm32", "float32"] as const;
export type WavSampleFormat = (typeof wavSampleFormats)[number];

const encodings: Readonly<Record<WavSampleFormat, WavEncoding>> = {
  pcm8: { kind: "integer", bytes: 1 },
  pcm16: { kind: "integer", bytes: 2 },
  pcm24: { kind: "integer", bytes: 3 },
  pcm32: { kind: "integer", bytes: 4 },
  float32: { kind: "float", bytes: 4 },
};

/** What the header of a WAV file states. */
export interface WavLayout {
  /** A whole number. */
  readonly sampleRateHz: number;
  readonly channelCount: number;
  /** Samples of each channel. */
  readonly frames: number;
  readonly format: WavSampleFormat;
}

/** A whole WAV file in memory. Throws `RangeError` as `wavHeader` and `encodeFrames` do. */
export function wavFile(
  channels: readonly Float32Array[],
  sampleRateHz: number,
  format: WavSampleFormat = "pcm16",
): Uint8Array {
  const frames = channels[0]?.length ?? 0;
  const header = wavHeader({ sampleRateHz, channelCount: channels.length, frames, format });
  const samples = encodeFrames(channels, encodings[format]);
  const file = new Uint8Array(header.length + samples.length + (samples.length % 2));
  file.set(header);
  file.set(samples, header.length);
  return file;
}

/**
 * The bytes of a WAV file, piece by piece, of a recording whose length is known before it is read. Throws `RangeError`
 * if `source` holds another number of samples than `frames`.
 */
export async function* wavPieces(
  source: AudioSource,
  frames: number,
  format: WavSampleFormat = "pcm16",
): AsyncGenerator<Uint8Array> {
  const { sampleRateHz, channelCount } = source;
  yield wavHeader({ sampleRateHz, channelCount, frames, format });
  const encoding = encodings[format];
  let written = 0;
  for await (const { channels } of source.blocks) {
    written += channels[0]?.length ?? 0;
    yield encodeFrames(channels, encoding);
  }
  if (written !== frames) throw new RangeError(`${frames} frames were announced, but there were ${written}`);
  if ((frames * channelCount * encoding.bytes) % 2 === 1) yield new Uint8Array(1);
}

/**
 * Everything before the samples: RIFF, or RF64 where 32 bits cannot state the length. Throws `RangeError` for a rate
 * that is no positive whole number, and for channels or frames that cannot be.
 */
export function wavHeader({ sampleRateHz, channelCount, frames, format }: WavLayout): Uint8Array {
  if (!Number.isInteger(sampleRateHz) || sampleRateHz < 1 || sampleRateHz >= 2 ** 32) {
    throw new RangeError(`sampleRateHz must be a positive whole number, got ${sampleRateHz}`);
  }
  if (!Number.isInteger(channelCount) || channelCount < 1 || channelCount > 65535) {
    throw new RangeError(`channelCount must be 1 to 65535, got ${channelCount}`);
  }
  if (!Number.isSafeInteger(frames) || frames < 0) {
    throw new RangeError(`frames must be a whole number from 0, got ${frames}`);
  }
  const { kind, bytes } = encodings[format];
  const dataBytes = frames * channelCount * bytes;
  const formatBytes = kind === "float" ? 18 : 16;
  const factBytes = kind === "float" ? 12 : 0;
  const afterRiff = 4 + 8 + formatBytes + factBytes + 8 + dataBytes + (dataBytes % 2);
  const isLong = afterRiff + 36 >= 2 ** 32;
  const writer = new HeaderWriter();
  writer.text(isLong ? "RF64" : "RIFF");
  writer.uint32(isLong ? 0xffffffff : afterRiff);
  writer.text("WAVE");
  if (isLong) {
    writer.text("ds64");
    writer.uint32(28);
    writer.uint64(afterRiff + 36);
    writer.uint64(dataBytes);
    writer.uint64(frames);
    writer.uint32(0);
  }
  writer.text("fmt ");
  writer.uint32(formatBytes);
  writer.uint16(kind === "float" ? 3 : 1);
  writer.uint16(channelCount);
  writer.uint32(sampleRateHz);
  writer.uint32((sampleRateHz * channelCount * bytes) % 2 ** 32);
  writer.uint16(channelCount * bytes);
  writer.uint16(8 * bytes);
  if (kind === "float") {
    writer.uint16(0);
    writer.text("fact");
    writer.uint32(4);
    writer.uint32(isLong ? 0xffffffff : frames);
  }
  writer.text("data");
  writer.uint32(isLong ? 0xffffffff : dataBytes);
  return writer.bytes();
}

/** Little-endian fields one after the other. */
class HeaderWriter {
  private readonly list: number[] = [];

  text(word: string): void {
    for (let i = 0; i < word.length; i += 1) this.list.push(word.charCodeAt(i));
  }

  uint16(value: number): void {
    this.list.push(value & 0xff, (value >> 8) & 0xff);
  }

  uint32(value: number): void {
    this.uint16(value % 65536);
    this.uint16(Math.floor(value / 65536));
  }

  uint64(value: number): void {
    this.uint32(value % 2 ** 32);
    this.uint32(Math.floor(value / 2 ** 32));
  }

  bytes(): Uint8Array {
    return Uint8Array.from(this.list);
  }
}
