/** How one sample of a WAV file is stored, little-endian. */
export interface WavEncoding {
  readonly kind: "integer" | "float";
  /** Bytes of one sample: 1 to 4 for integers, 4 or 8 for floats. Bits that an integer does not use are its lowest. */
  readonly bytes: number;
}

/** Samples of a stretch, one array a channel; what was no number is 0 and counted. */
export interface DecodedSamples {
  readonly channels: readonly Float32Array[];
  /** Index of the first frame with a sample that was no finite number; undefined if there is none. */
  readonly firstNotFinite: number | undefined;
}

/**
 * Samples of whole frames: `bytes` holds frame after frame, in each the channels in order. Integers of one byte are
 * unsigned, others two's complement; full scale becomes ±1. Source: IBM and Microsoft, Multimedia Programming Interface
 * and Data Specifications 1.0, 1991, "Waveform Audio File Format"; from memory.
 */
export function decodeFrames(bytes: Uint8Array, encoding: WavEncoding, channelCount: number): DecodedSamples {
  const frames = Math.floor(bytes.length / (encoding.bytes * channelCount));
  const read = sampleReader(bytes, encoding);
  const channels = Array.from({ length: channelCount }, () => new Float32Array(frames));
  let firstNotFinite: number | undefined;
  for (const [channel, samples] of channels.entries()) {
    for (let frame = 0; frame < frames; frame += 1) {
      const value = read((frame * channelCount + channel) * encoding.bytes);
      if (Number.isFinite(value)) samples[frame] = value;
      else if (firstNotFinite === undefined || frame < firstNotFinite) firstNotFinite = frame;
    }
  }
  return { channels, firstNotFinite };
}

function sampleReader(bytes: Uint8Array, { kind, bytes: width }: WavEncoding): (at: number) => number {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (kind === "float") {
    // A double beyond the range of a float would become infinite in the array.
    return width === 8 ? (at) => Math.fround(view.getFloat64(at, true)) : (at) => view.getFloat32(at, true);
  }
  switch (width) {
    case 1:
      return (at) => (view.getUint8(at) - 128) / 128;
    case 2:
      return (at) => view.getInt16(at, true) / 32768;
    case 3:
      return (at) => (view.getUint8(at) + 256 * view.getInt16(at + 1, true)) / 8388608;
    case 4:
      return (at) => view.getInt32(at, true) / 2147483648;
    default:
      throw new RangeError(`a sample has 1 to 4 bytes, got ${width}`);
  }
}

/**
 * Bytes of samples, frame after frame; the reverse of `decodeFrames`. Integers are rounded to the nearest and end at
 * full scale; what is no number becomes 0. Throws `RangeError` if the channels differ in length.
 */
export function encodeFrames(channels: readonly Float32Array[], encoding: WavEncoding): Uint8Array {
  const frames = channels[0]?.length ?? 0;
  if (channels.some(({ length }) => length !== frames)) {
    throw new RangeError(`channels must have one length, got ${channels.map(({ length }) => length)}`);
  }
  const { bytes: width } = encoding;
  const bytes = new Uint8Array(frames * channels.length * width);
  const write = sampleWriter(new DataView(bytes.buffer), encoding);
  for (const [channel, samples] of channels.entries()) {
    for (let frame = 0; frame < frames; frame += 1) {
      const value = samples[frame] ?? 0;
      write((frame * channels.length + channel) * width, Number.isFinite(value) ? value : 0);
    }
  }
  return bytes;
}

function sampleWriter(
  view: DataView,
  { kind, bytes: width }: WavEncoding,
): (at: number, value: number) => void {
  if (kind === "float") {
    return width === 8
      ? (at, value) => view.setFloat64(at, value, true)
      : (at, value) => view.setFloat32(at, value, true);
  }
  const scale = 2 ** (8 * width - 1);
  const level = (value: number): number => Math.max(-scale, Math.min(scale - 1, Math.round(value * scale)));
  switch (width) {
    case 1:
      return (at, value) => view.setUint8(at, level(value) + 128);
    case 2:
      return (at, value) => view.setInt16(at, level(value), true);
    case 3:
      return (at, value) => {
        const whole = level(value);
        view.setUint8(at, whole & 0xff);
        view.setInt16(at + 1, whole >> 8, true);
      };
    case 4:
      return (at, value) => view.setInt32(at, level(value), true);
    default:
      throw new RangeError(`a sample has 1 to 4 bytes, got ${width}`);
  }
}
