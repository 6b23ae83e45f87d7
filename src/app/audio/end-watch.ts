import type { CompressedKind } from "./block-decoder.js";

/** Follows the bytes of a compressed recording for what its decoder does not tell. */
export interface EndWatch {
  see(bytes: Uint8Array): void;
  /** Samples of each channel that the header states. */
  statedSamples(): number | undefined;
  /** True if the recording has one channel where the decoder gives two. */
  isMono(): boolean;
  /** True if the file ended early, as far as can be told; `samples` is what came out of it. */
  isCutOff(samples: number): boolean;
}

/** A watch for one recording. */
export function createEndWatch(kind: CompressedKind): EndWatch {
  switch (kind) {
    case "flac":
      return new FlacWatch();
    case "vorbis":
      return new OggWatch();
    case "mp3":
      return new MpegWatch();
  }
}

/** Keeps the beginning of a file. */
class Head {
  readonly bytes: number[] = [];
  private readonly most: number;

  constructor(most: number) {
    this.most = most;
  }

  see(bytes: Uint8Array): void {
    for (let i = 0; i < bytes.length && this.bytes.length < this.most; i += 1) this.bytes.push(bytes[i] ?? 0);
  }
}

/** FLAC states its length in the first block, unless it was written to a pipe. RFC 9639, section 8.2; from memory. */
class FlacWatch implements EndWatch {
  private readonly head = new Head(64);

  see(bytes: Uint8Array): void {
    this.head.see(bytes);
  }

  statedSamples(): number | undefined {
    const { bytes } = this.head;
    // "fLaC", four bytes of block header, then the numbers; the count is the last 36 bits before the checksum.
    if (bytes.length < 42 || String.fromCharCode(...bytes.slice(0, 4)) !== "fLaC") return undefined;
    const [high = 0, ...low] = bytes.slice(21, 26);
    const samples = low.reduce((sum, byte) => sum * 256 + byte, high & 0x0f);
    return samples === 0 ? undefined : samples;
  }

  isMono(): boolean {
    return false;
  }

  isCutOff(samples: number): boolean {
    const stated = this.statedSamples();
    return stated !== undefined && samples < stated;
  }
}

/** Ogg marks its last page; a page is at most 65 307 bytes long. RFC 3533, section 6; from memory. */
class OggWatch implements EndWatch {
  private tail: Uint8Array = new Uint8Array(0);

  see(bytes: Uint8Array): void {
    const joined = new Uint8Array(this.tail.length + bytes.length);
    joined.set(this.tail);
    joined.set(bytes, this.tail.length);
    this.tail = joined.length > 2 * mostPageBytes ? joined.slice(-mostPageBytes) : joined;
  }

  statedSamples(): undefined {
    return undefined;
  }

  isMono(): boolean {
    return false;
  }

  isCutOff(): boolean {
    const { tail } = this;
    for (let at = tail.length - 27; at >= 0; at -= 1) {
      const isPage =
        tail[at] === 0x4f && tail[at + 1] === 0x67 && tail[at + 2] === 0x67 && tail[at + 3] === 0x53;
      if (!isPage) continue;
      const segments = tail[at + 26] ?? 0;
      let length = 27 + segments;
      for (let i = 0; i < segments; i += 1) length += tail[at + 27 + i] ?? 0;
      const isLast = ((tail[at + 5] ?? 0) & 4) !== 0;
      return !isLast || at + length > tail.length;
    }
    return true;
  }
}

const mostPageBytes = 65_307;

/** The channel mode stands in the first frame header. ISO/IEC 11172-3, 2.4.2.3; from memory. */
class MpegWatch implements EndWatch {
  private readonly head = new Head(16384);
  private mono: boolean | undefined;

  see(bytes: Uint8Array): void {
    if (this.mono === undefined) this.head.see(bytes);
  }

  statedSamples(): undefined {
    return undefined;
  }

  isMono(): boolean {
    this.mono ??= isMonoMpeg(this.head.bytes);
    return this.mono;
  }

  // An MP3 states no length, and ends wherever it ends.
  isCutOff(): boolean {
    return false;
  }
}

function isMonoMpeg(bytes: readonly number[]): boolean {
  let at = 0;
  if (String.fromCharCode(...bytes.slice(0, 3)) === "ID3") {
    // Four times seven bits.
    at = 10 + bytes.slice(6, 10).reduce((sum, byte) => sum * 128 + (byte & 0x7f), 0);
  }
  for (; at + 3 < bytes.length; at += 1) {
    const second = bytes[at + 1] ?? 0;
    if (bytes[at] === 0xff && (second & 0xe0) === 0xe0 && (second & 0x06) !== 0) {
      return (bytes[at + 3] ?? 0) >> 6 === 3;
    }
  }
  return false;
}
