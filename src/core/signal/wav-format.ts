import type { Problem, ProblemPlace } from "../base/problem.js";
import type { WavEncoding } from "./wav-samples.js";

/** What the format chunk of a WAV file says, as far as it is believed. */
export interface WavFormat {
  readonly sampleRateHz: number;
  readonly channelCount: number;
  readonly encoding: WavEncoding;
}

/** A format, or the reason why there is none; warnings where a field lies but the rest makes sense. */
export interface ReadFormat {
  readonly format?: WavFormat;
  readonly problems: readonly Problem[];
}

/** Most channels of a recording that is read. */
export const maximumChannels = 8;

const lowestRateHz = 1000;
const highestRateHz = 768_000;

/** Format codes of the wave registry that people may meet; only the first two are read. */
const codecs: Readonly<Record<number, string>> = {
  1: "integer samples",
  3: "floating-point samples",
  2: "a compressed form (ADPCM)",
  6: "a compressed form (A-law)",
  7: "a compressed form (µ-law)",
  17: "a compressed form (IMA ADPCM)",
  85: "MP3",
};
const extensible = 0xfffe;
/** Bytes 2 to 15 of the identifiers that stand for a format code. */
const identifierTail = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];

/**
 * Reads the first 16 to 40 bytes of a format chunk that stands at `place`. Source: Multimedia Programming Interface and
 * Data Specifications 1.0, 1991, and Multiple Channel Audio Data and WAVE Files, 2001; from memory.
 * Codes: `wav-format-short`, `wav-codec`, `wav-channels`, `wav-rate`, `wav-bits`, `wav-frame-size`.
 */
export function readFormatChunk(bytes: Uint8Array, place: ProblemPlace): ReadFormat {
  if (bytes.length < 16) {
    return bad("wav-format-short", `The format chunk has ${bytes.length} bytes; it needs 16.`, place);
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const code = formatCode(bytes, view);
  if (code !== 1 && code !== 3) {
    const name = codecs[code] ?? "an unknown form";
    const message = `The samples are stored as ${name} (code ${code}); integer and floating-point samples are read.`;
    return bad("wav-codec", message, place, "Save the recording again as 16-bit WAV.");
  }
  const channelCount = view.getUint16(2, true);
  if (channelCount < 1 || channelCount > maximumChannels) {
    const message = `The header names ${channelCount} channels; 1 to ${maximumChannels} are read.`;
    return bad("wav-channels", message, at(place, 2));
  }
  const sampleRateHz = view.getUint32(4, true);
  if (sampleRateHz < lowestRateHz || sampleRateHz > highestRateHz) {
    const message = `The header names a sample rate of ${sampleRateHz} Hz; ${lowestRateHz} to ${highestRateHz} Hz are read.`;
    return bad("wav-rate", message, at(place, 4));
  }
  const bits = view.getUint16(14, true);
  const kind = code === 3 ? "float" : "integer";
  const width = Math.ceil(bits / 8);
  if (kind === "float" ? bits !== 32 && bits !== 64 : width < 1 || width > 4) {
    const allowed = kind === "float" ? "32 or 64" : "1 to 32";
    return bad("wav-bits", `The header names ${bits} bits a sample; ${allowed} are read.`, at(place, 14));
  }
  const frameBytes = view.getUint16(12, true);
  const problems: Problem[] = [];
  let sampleBytes = width;
  if (frameBytes !== width * channelCount) {
    // Samples of three bytes may stand in four; anything else in this field is a slip.
    if (kind === "integer" && frameBytes === 4 * channelCount) sampleBytes = 4;
    else {
      const message = `The header names ${frameBytes} bytes a frame, but ${channelCount} × ${bits} bits make ${width * channelCount}, which is taken.`;
      problems.push({ code: "wav-frame-size", severity: "warning", message, where: at(place, 12) });
    }
  }
  return { format: { sampleRateHz, channelCount, encoding: { kind, bytes: sampleBytes } }, problems };
}

/** The format code, which the extensible form keeps in the first bytes of an identifier. */
function formatCode(bytes: Uint8Array, view: DataView): number {
  const code = view.getUint16(0, true);
  if (code !== extensible || bytes.length < 40) return code;
  const isStandard = identifierTail.every((byte, i) => bytes[26 + i] === byte);
  return isStandard ? view.getUint16(24, true) : code;
}

function at(place: ProblemPlace, offset: number): ProblemPlace {
  return place.byte === undefined ? place : { ...place, byte: place.byte + offset };
}

function bad(code: string, message: string, where: ProblemPlace, hint?: string): ReadFormat {
  return { problems: [{ code, severity: "error", message, where, ...(hint === undefined ? {} : { hint }) }] };
}
