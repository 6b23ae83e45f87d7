import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { createRandom } from "../../core/base/random.js";
import { bytesOf } from "../../core/signal/byte-stream.js";
import { wavFile } from "../../core/signal/wav-write.js";
import { openAudio } from "./open-audio.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-audio-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
// The decoders write what they meet in damaged files to the console.
beforeAll(() => void vi.spyOn(console, "error").mockImplementation(() => undefined));

function fixture(name: string): Uint8Array {
  return readFileSync(new URL(`../../../test/fixtures/audio/${name}`, import.meta.url));
}

/** All samples of a file, one array a channel, and the codes of its problems. */
async function readAll(bytes: Uint8Array) {
  const { value, problems } = await openAudio(bytesOf("rec", bytes));
  if (value === undefined) return { samples: [], rate: 0, codes: problems.map(({ code }) => code), problems };
  const samples = Array.from({ length: value.channelCount }, (): number[] => []);
  for await (const { channels } of value.blocks) {
    for (const [i, channel] of channels.entries()) for (const sample of channel) samples[i]?.push(sample);
  }
  const codes = value.problems.map(({ code }) => code);
  return { samples, rate: value.sampleRateHz, codes, problems: value.problems };
}

/** Amplitude of a frequency in samples. */
function amplitudeAt(samples: readonly number[], hz: number, rate: number): number {
  let re = 0;
  let im = 0;
  for (const [i, sample] of samples.entries()) {
    re += sample * Math.cos((2 * Math.PI * hz * i) / rate);
    im += sample * Math.sin((2 * Math.PI * hz * i) / rate);
  }
  return (2 * Math.hypot(re, im)) / samples.length;
}

describe("compressed recordings", () => {
  it("gives the samples of a FLAC file", async () => {
    const { samples, rate, codes } = await readAll(fixture("mono-8000.flac"));
    expect([samples.length, rate, codes]).toEqual([1, 8000, []]);
    expect(samples[0]).toHaveLength(2000);
    expect(amplitudeAt(samples[0] ?? [], 1000, rate)).toBeCloseTo(0.5, 3);
  });

  it.each(["stereo-16000.ogg", "stereo-16000.mp3"])("keeps the channels of %s apart", async (name) => {
    const { samples, rate, codes } = await readAll(fixture(name));
    expect([samples.length, rate, codes]).toEqual([2, 16000, []]);
    const [left = [], right = []] = samples;
    expect(Math.abs(left.length - 4800)).toBeLessThan(1200);
    for (const [channel, own, other] of [
      [left, 1000, 500],
      [right, 500, 1000],
    ] as const) {
      expect(amplitudeAt(channel, own, rate)).toBeGreaterThan(0.3);
      expect(amplitudeAt(channel, other, rate)).toBeLessThan(0.06);
    }
  });

  it.each(["mono-8000.flac", "stereo-16000.ogg"])("says that %s was cut off, and where", async (name) => {
    const whole = fixture(name);
    const { problems } = await readAll(whole.subarray(0, Math.floor(0.7 * whole.length)));
    const cut = problems.find(({ code }) => code === "audio-cut-off" || code === "audio-no-samples");
    expect(cut?.message).toMatch(/\.$/);
  });

  it("agrees with the reference program's decoding, where it is installed", async () => {
    if (spawnSync("flac", ["--version"]).status !== 0) {
      console.warn("skipped: the program flac is not installed");
      return;
    }
    const random = createRandom(4);
    const noise = [0, 1].map(() => Float32Array.from({ length: 30_000 }, () => 0.8 * (random.next() - 0.5)));
    const wav = join(folder, "noise.wav");
    for (const [format, extra] of [
      ["pcm16", []],
      ["pcm24", ["--ogg"]],
    ] as const) {
      writeFileSync(wav, wavFile(noise, 44100, format));
      const packed = join(folder, `noise-${format}.flac`);
      execFileSync("flac", ["-sf", ...extra, wav, "-o", packed]);
      const ours = await readAll(readFileSync(packed));
      const plain = await readAll(readFileSync(wav));
      expect(ours.codes).toEqual([]);
      expect(ours.samples.map(({ length }) => length)).toEqual([30_000, 30_000]);
      let largest = 0;
      for (const [c, channel] of ours.samples.entries())
        for (const [i, sample] of channel.entries())
          largest = Math.max(largest, Math.abs(sample - (plain.samples[c]?.[i] ?? 2)));
      // One step of 16 bits: the decoder scales by the largest positive value.
      expect(largest).toBeLessThan(1 / 32767);
    }
  });
});

describe("what is no recording", () => {
  it.each<[string, Uint8Array, string]>([
    ["an empty file", new Uint8Array(0), "audio-empty"],
    ["a text", Uint8Array.from(Buffer.from("What is this?")), "audio-unknown"],
    ["a RIFF file that is no WAV", Uint8Array.from(Buffer.from("RIFF1234AVI LIST")), "audio-unknown"],
    ["the first bytes of a FLAC file", fixture("mono-8000.flac").subarray(0, 60), "audio-no-samples"],
    [
      "Ogg with something else in it",
      Uint8Array.from(Buffer.from(`OggS${"\0".repeat(23)}fishead`)),
      "audio-unknown",
    ],
  ])("%s", async (_, bytes, code) => {
    const { codes } = await readAll(bytes);
    expect(codes.at(-1)).toBe(code);
  });

  it("is told from WAV by its bytes and not by its name", async () => {
    const { samples } = await readAll(wavFile([Float32Array.of(0.5, -0.5)], 8000));
    expect(samples).toEqual([[0.5, -0.5]]);
  });
});

describe("damaged compressed recordings", () => {
  it.each(["mono-8000.flac", "stereo-16000.ogg", "stereo-16000.mp3"])(
    "do not stop the reader: %s",
    async (name) => {
      const whole = fixture(name);
      const random = createRandom(20260303);
      for (let run = 0; run < 30; run += 1) {
        const bytes = Uint8Array.from(whole);
        const hits = 1 + random.below(12);
        for (let hit = 0; hit < hits; hit += 1) bytes[random.below(bytes.length)] = random.below(256);
        const cut = random.below(3) === 0 ? bytes.subarray(0, random.below(bytes.length)) : bytes;
        const { samples, codes } = await readAll(cut);
        expect(samples.length > 0 || codes.length > 0, `run ${run}`).toBe(true);
      }
    },
  );
});
