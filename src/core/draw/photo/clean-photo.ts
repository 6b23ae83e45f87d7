import type { Parsed } from "../../base/problem.js";

/** A picture that holds nothing but the picture. */
export interface CleanPhoto {
  readonly mediaType: "image/jpeg" | "image/png";
  readonly widthPixel: number;
  readonly heightPixel: number;
  readonly bytes: Uint8Array;
}

/** Most pixels of a picture: enough for any camera of a telephone, and few enough to be shown. */
const mostPixels = 60_000_000;
const mostSegments = 20_000;

/**
 * Takes everything out of a JPEG or PNG file that is not needed to show it: where and when and with what it was taken,
 * comments, previews, whatever is appended. The picture itself is not decoded. Formats: JPEG, ISO/IEC 10918-1 annex B;
 * PNG, W3C Recommendation (Third Edition), section 5. The value is absent, with one error, for anything else, and for a
 * file that breaks off or has more than 60 million pixels. O(bytes).
 * Codes: `photo-format`, `photo-broken`, `photo-too-large`.
 */
export function cleanPhoto(bytes: Uint8Array): Parsed<CleanPhoto> {
  const isJpeg = bytes[0] === 0xff && bytes[1] === 0xd8;
  const isPng = pngSignature.every((byte, i) => bytes[i] === byte);
  if (!isJpeg && !isPng)
    return failed("photo-format", "The file is neither a JPEG nor a PNG picture.", "Save it as one of them.");
  const found = isJpeg ? cleanJpeg(bytes) : cleanPng(bytes);
  if (found === undefined)
    return failed("photo-broken", "The picture is damaged or breaks off.", "Take it anew, or copy it again.");
  const { widthPixel, heightPixel } = found;
  if (widthPixel * heightPixel > mostPixels)
    return failed(
      "photo-too-large",
      `The picture has ${widthPixel} by ${heightPixel} pixels; at most 60 million are taken.`,
      "Make it smaller first.",
    );
  return { value: found, problems: [] };
}

function failed(code: string, message: string, hint: string): Parsed<CleanPhoto> {
  return { problems: [{ code, severity: "error", message, where: { field: "data" }, hint }] };
}

const pngSignature = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a] as const;
/** Chunks without which a picture looks otherwise or not at all. */
const pngKept: ReadonlySet<string> = new Set([
  "IHDR",
  "PLTE",
  "IDAT",
  "IEND",
  "tRNS",
  "gAMA",
  "cHRM",
  "sRGB",
]);

function cleanPng(bytes: Uint8Array): CleanPhoto | undefined {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const kept: Uint8Array[] = [bytes.subarray(0, 8)];
  let size: { widthPixel: number; heightPixel: number } | undefined;
  let at = 8;
  for (let count = 0; count < mostSegments && at + 12 <= bytes.length; count += 1) {
    const length = view.getUint32(at);
    const end = at + 12 + length;
    if (end > bytes.length) return undefined;
    const name = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    if (name === "IHDR" && length >= 8)
      size = { widthPixel: view.getUint32(at + 8), heightPixel: view.getUint32(at + 12) };
    if (pngKept.has(name)) kept.push(bytes.subarray(at, end));
    at = end;
    if (name !== "IEND") continue;
    if (size === undefined || size.widthPixel === 0 || size.heightPixel === 0) return undefined;
    return { mediaType: "image/png", ...size, bytes: joined(kept) };
  }
  return undefined;
}

/** Markers of JPEG by their second byte. */
const startOfScan = 0xda;
const endOfImage = 0xd9;
const comment = 0xfe;
/** JFIF, and the one that says how colours are stored: without them the colours would be wrong. */
const keptApplications: ReadonlySet<number> = new Set([0xe0, 0xee]);

function cleanJpeg(bytes: Uint8Array): CleanPhoto | undefined {
  const kept: Uint8Array[] = [bytes.subarray(0, 2)];
  let size: { widthPixel: number; heightPixel: number } | undefined;
  let at = 2;
  for (let count = 0; count < mostSegments && at + 4 <= bytes.length + 2; count += 1) {
    if (bytes[at] !== 0xff) return undefined;
    // Any number of fill bytes may stand before a marker.
    while (bytes[at + 1] === 0xff) at += 1;
    const marker = bytes[at + 1] ?? 0;
    if (marker === endOfImage) {
      if (size === undefined || size.widthPixel === 0 || size.heightPixel === 0) return undefined;
      kept.push(bytes.subarray(at, at + 2));
      return { mediaType: "image/jpeg", ...size, bytes: joined(kept) };
    }
    const length = (bytes[at + 2] ?? 0) * 256 + (bytes[at + 3] ?? 0);
    let end = at + 2 + length;
    if (length < 2 || end > bytes.length) return undefined;
    const isFrame = marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker);
    if (isFrame && length >= 7)
      size = {
        heightPixel: (bytes[at + 5] ?? 0) * 256 + (bytes[at + 6] ?? 0),
        widthPixel: (bytes[at + 7] ?? 0) * 256 + (bytes[at + 8] ?? 0),
      };
    if (marker === startOfScan) end = endOfScan(bytes, end);
    const isApplication = marker >= 0xe0 && marker <= 0xef;
    const isKept = isApplication ? keptApplications.has(marker) : marker !== comment;
    if (isKept) kept.push(bytes.subarray(at, end));
    at = end;
  }
  return undefined;
}

/** First byte behind the coded data of a scan: a marker that is neither a stuffed byte nor a restart. */
function endOfScan(bytes: Uint8Array, start: number): number {
  for (let at = start; at + 1 < bytes.length; at += 1) {
    if (bytes[at] !== 0xff) continue;
    const next = bytes[at + 1] ?? 0;
    if (next !== 0 && next !== 0xff && (next < 0xd0 || next > 0xd7)) return at;
  }
  return bytes.length;
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}
