import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { cleanPhoto } from "./clean-photo.js";

const text = (words: string): number[] => [...words].map((letter) => letter.charCodeAt(0));
const segment = (marker: number, content: readonly number[]): number[] => [
  0xff,
  marker,
  (content.length + 2) >> 8,
  (content.length + 2) & 255,
  ...content,
];
const frame = segment(0xc0, [8, 0, 30, 0, 40, 1, 1, 0x11, 0]);
const jfif = segment(0xe0, text("JFIF\0"));
const scan = [...segment(0xda, [1, 1, 0, 0, 63, 0]), 0x12, 0xff, 0x00, 0x34, 0xff, 0xd0, 0x56];
const place = segment(0xe1, text("Exif\0\0GPS 52.1 N 13.4 E"));
const jpeg = [0xff, 0xd8, ...jfif, ...frame, ...scan, 0xff, 0xd9];
const spoilt = [
  ...[0xff, 0xd8, ...jfif, ...place, ...segment(0xfe, text("taken at home"))],
  ...[...segment(0xed, text("Photoshop")), ...frame, 0xff, ...scan, 0xff, 0xd9, ...text("appended film")],
];

const chunk = (name: string, content: readonly number[]): number[] => [
  ...[0, 0, 0, content.length],
  ...text(name),
  ...content,
  ...[1, 2, 3, 4],
];
const signature = [0x89, ...text("PNG"), 13, 10, 26, 10];
const header = chunk("IHDR", [0, 0, 0, 40, 0, 0, 0, 30, 8, 2, 0, 0, 0]);
const png = [...signature, ...header, ...chunk("IDAT", [9, 9]), ...chunk("IEND", [])];
const spoiltPng = [
  ...[...signature, ...header, ...chunk("eXIf", text("GPS")), ...chunk("tEXt", text("Author"))],
  ...[...chunk("IDAT", [9, 9]), ...chunk("IEND", []), ...text("more")],
];

describe("a picture that comes in", () => {
  it("loses where it was taken, comments, and what is appended", () => {
    const { value } = cleanPhoto(Uint8Array.from(spoilt));
    const kept = String.fromCharCode(...(value?.bytes ?? []));
    for (const word of ["GPS", "Exif", "home", "Photoshop", "appended"]) expect(kept).not.toContain(word);
    expect(value).toMatchObject({ mediaType: "image/jpeg", widthPixel: 40, heightPixel: 30 });
    expect([...(value?.bytes ?? [])].slice(0, 20)).toEqual(jpeg.slice(0, 20));
    const cleanPng = cleanPhoto(Uint8Array.from(spoiltPng));
    expect([...(cleanPng.value?.bytes ?? [])]).toEqual(png);
    expect(cleanPng.value).toMatchObject({ mediaType: "image/png", widthPixel: 40, heightPixel: 30 });
  });

  it("stays as it is if there is nothing to take out", () => {
    expect([...(cleanPhoto(Uint8Array.from(jpeg)).value?.bytes ?? [])]).toEqual(jpeg);
    expect([...(cleanPhoto(Uint8Array.from(png)).value?.bytes ?? [])]).toEqual(png);
  });

  it("is refused in one sentence if it is none, breaks off or is too large", () => {
    const code = (bytes: readonly number[]): string | undefined =>
      cleanPhoto(Uint8Array.from(bytes)).problems[0]?.code;
    expect(code(text("GIF89a"))).toBe("photo-format");
    expect(code([])).toBe("photo-format");
    for (let length = 8; length < jpeg.length; length += 1)
      expect(code(jpeg.slice(0, length)), String(length)).toBe("photo-broken");
    for (let length = 8; length < png.length; length += 1)
      expect(code(png.slice(0, length)), String(length)).toBe("photo-broken");
    const huge = segment(0xc0, [8, 0xff, 0xff, 0xff, 0xff, 1, 1, 0x11, 0]);
    expect(code([0xff, 0xd8, ...huge, ...scan, 0xff, 0xd9])).toBe("photo-too-large");
  });

  it("never makes it fall, however damaged", () => {
    const random = createRandom(11);
    for (let i = 0; i < 20_000; i += 1) {
      const bytes = Uint8Array.from(random.below(2) === 0 ? spoilt : spoiltPng);
      for (let k = 0; k <= random.below(6); k += 1) bytes[random.below(bytes.length)] = random.below(256);
      const { value, problems } = cleanPhoto(bytes);
      expect(value === undefined).toBe(problems.length > 0);
      if (value !== undefined) expect(value.bytes.length).toBeLessThanOrEqual(bytes.length);
    }
  });
});
