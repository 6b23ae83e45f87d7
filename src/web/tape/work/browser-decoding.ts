import type { Parsed } from "../../../core/base/problem.js";

/** A recording that is in memory. */
export interface DecodedSound {
  readonly sampleRateHz: number;
  readonly channels: readonly Float32Array[];
}

/** Largest compressed file that is decoded at once. */
const mostBytes = 300_000_000;
const usualRateHz = 48000;

/** Decodes FLAC, MP3 and Ogg Vorbis by what the browser has for them; a file it cannot read is refused with the reason. */
export async function decodeByBrowser(file: File): Promise<Parsed<DecodedSound>> {
  const refuse = (code: string, message: string, hint: string): Parsed<DecodedSound> => ({
    problems: [{ code, severity: "error", message, where: { file: file.name }, hint }],
  });
  if (file.size > mostBytes) {
    const message = `The file has ${Math.round(file.size / 1e6)} MB; up to ${mostBytes / 1e6} MB of a compressed recording are decoded here.`;
    return refuse("take-long", message, "Read it with the command line: boardwake tape read.");
  }
  if (file.size === 0) return refuse("take-empty", "The file is empty.", "Record it again.");
  const bytes = await file.arrayBuffer();
  const sampleRateHz = statedRate(new Uint8Array(bytes)) ?? usualRateHz;
  try {
    const context = new OfflineAudioContext(1, 1, sampleRateHz);
    const buffer = await context.decodeAudioData(bytes);
    const channels = Array.from({ length: buffer.numberOfChannels }, (_, i) => buffer.getChannelData(i));
    return { value: { sampleRateHz: buffer.sampleRate, channels }, problems: [] };
  } catch {
    return refuse(
      "take-unknown",
      "This is no recording that the browser can read.",
      "WAV, FLAC, MP3 and Ogg Vorbis are read.",
    );
  }
}

/** The sample rate a FLAC file states, so that the browser leaves its samples alone. RFC 9639, section 8.2; from memory. */
export function statedRate(bytes: Uint8Array): number | undefined {
  if (bytes.length < 22 || String.fromCharCode(...bytes.subarray(0, 4)) !== "fLaC") return undefined;
  const rate = ((bytes[18] ?? 0) << 12) | ((bytes[19] ?? 0) << 4) | ((bytes[20] ?? 0) >> 4);
  return rate >= 8000 && rate <= 192_000 ? rate : undefined;
}
