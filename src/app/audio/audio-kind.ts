import type { CompressedKind } from "./block-decoder.js";

/** What the first bytes of a file say that it is; `opus` is recognised but not read. */
export type AudioKind = CompressedKind | "wav" | "opus" | "unknown";

/** Bytes that are enough to tell. */
export const kindBytes = 64;

/**
 * Tells what a file is from its first bytes; its name is not looked at. Sources: RFC 9639 (FLAC), RFC 3533 (Ogg),
 * ISO/IEC 11172-3 (frame header of MPEG audio) and the informal standard ID3v2; from memory.
 */
export function audioKind(head: Uint8Array): AudioKind {
  const begins = (word: string, at = 0): boolean =>
    [...word].every((letter, i) => head[at + i] === letter.charCodeAt(0));
  if (begins("RIFF") || begins("RF64") || begins("BW64")) return begins("WAVE", 8) ? "wav" : "unknown";
  if (begins("fLaC")) return "flac";
  if (begins("OggS")) {
    const packet = 27 + (head[26] ?? 0);
    if (begins("\u0001vorbis", packet)) return "vorbis";
    if (begins("\u007fFLAC", packet)) return "flac";
    return begins("OpusHead", packet) ? "opus" : "unknown";
  }
  if (begins("ID3")) return "mp3";
  // Eleven bits of sync, a version and a layer that exist, a bit rate and a sample rate that exist.
  const [first = 0, second = 0, third = 0] = head;
  const isFrame =
    first === 0xff &&
    (second & 0xe0) === 0xe0 &&
    (second & 0x18) !== 0x08 &&
    (second & 0x06) !== 0 &&
    (third & 0xf0) !== 0xf0 &&
    (third & 0x0c) !== 0x0c;
  return isFrame ? "mp3" : "unknown";
}
