import { FLACDecoder } from "@wasm-audio-decoders/flac";
import { OggVorbisDecoder } from "@wasm-audio-decoders/ogg-vorbis";
import { MPEGDecoder } from "mpg123-decoder";

/** Kinds of compressed recordings that are read. */
export type CompressedKind = "flac" | "mp3" | "vorbis";

/** What a decoder made of a piece of a file. */
export interface DecodedPiece {
  readonly channelData: readonly Float32Array[];
  readonly samplesDecoded: number;
  /** 0 before the decoder knows. */
  readonly sampleRate: number;
  /** What it could not read. */
  readonly errors: readonly { readonly message: string }[];
}

/** Takes a file piece by piece and gives its samples as they become known. */
export interface BlockDecoder {
  decode(bytes: Uint8Array): Promise<DecodedPiece>;
  /** The last samples. */
  finish(): Promise<DecodedPiece>;
  /** Gives its memory back; nothing may be asked afterwards. */
  free(): void;
}

const nothing: DecodedPiece = { channelData: [], samplesDecoded: 0, sampleRate: 0, errors: [] };

/** Makes a decoder ready. */
export async function openDecoder(kind: CompressedKind): Promise<BlockDecoder> {
  switch (kind) {
    case "flac": {
      const decoder = new FLACDecoder();
      await decoder.ready;
      return {
        decode: (bytes) => decoder.decode(bytes),
        finish: () => decoder.flush(),
        free: () => decoder.free(),
      };
    }
    case "vorbis": {
      const decoder = new OggVorbisDecoder();
      await decoder.ready;
      return {
        decode: (bytes) => decoder.decode(bytes),
        finish: () => decoder.flush(),
        free: () => decoder.free(),
      };
    }
    case "mp3": {
      const decoder = new MPEGDecoder();
      await decoder.ready;
      return {
        decode: (bytes) => Promise.resolve(decoder.decode(bytes)),
        finish: () => Promise.resolve(nothing),
        free: () => decoder.free(),
      };
    }
  }
}
