import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { bytesOf } from "./byte-stream.js";
import { audioOf } from "./samples.js";
import { readWav } from "./wav-read.js";
import { type WavSampleFormat, wavFile, wavHeader, wavPieces, wavSampleFormats } from "./wav-write.js";

/** Everything a file gives: its form, its samples in one piece a channel, the codes of its problems. */
async function readAll(bytes: Uint8Array) {
  const { value, problems } = await readWav(bytesOf("rec.wav", bytes));
  if (value === undefined) return { problems, samples: undefined, codes: problems.map(({ code }) => code) };
  const channels = Array.from({ length: value.channelCount }, (): number[] => []);
  for await (const block of value.blocks) {
    expect(block.channels).toHaveLength(value.channelCount);
    for (const [i, samples] of block.channels.entries()) for (const v of samples) channels[i]?.push(v);
  }
  const codes = value.problems.map(({ code }) => code);
  return { ...value, problems: value.problems, samples: channels, codes };
}

const left = Float32Array.of(0, 0.5, -0.5, 0.25, -1);
const right = Float32Array.of(0.125, -0.25, 0.75, -0.75, 0.5);

function set(bytes: Uint8Array, at: number, ...values: number[]): Uint8Array {
  const copy = bytes.slice();
  copy.set(values, at);
  return copy;
}

function join(...parts: readonly (Uint8Array | readonly number[])[]): Uint8Array {
  return Uint8Array.from(parts.flatMap((part) => [...part]));
}

function ascii(text: string): number[] {
  return [...text].map((letter) => letter.charCodeAt(0));
}

describe("writing and reading a WAV file", () => {
  it.each(wavSampleFormats)("gives the same samples back in %s", async (format) => {
    const read = await readAll(wavFile([left, right], 44100, format));
    expect(read).toMatchObject({ sampleRateHz: 44100, channelCount: 2, totalSeconds: 5 / 44100, codes: [] });
    expect(read.samples).toEqual([[...left], [...right]]);
  });

  it("keeps channels apart and lengths odd", async () => {
    const read = await readAll(wavFile([left.slice(0, 3)], 8000, "pcm24"));
    expect(read.samples).toEqual([[0, 0.5, -0.5]]);
    expect(wavFile([left.slice(0, 3)], 8000, "pcm24").length % 2).toBe(0);
  });

  it("ends integers at full scale and turns what is no number into silence", async () => {
    const read = await readAll(wavFile([Float32Array.of(2, -2, Number.NaN)], 8000, "pcm16"));
    expect(read.samples).toEqual([[32767 / 32768, -1, 0]]);
  });

  it("writes a long recording in pieces, the same bytes as at once", async () => {
    const random = createRandom(7);
    const noise = Float32Array.from({ length: 200_001 }, () => random.next() - 0.5);
    const pieces: Uint8Array[] = [];
    for await (const piece of wavPieces(audioOf([noise], 48000), noise.length, "pcm8")) pieces.push(piece);
    expect(pieces.length).toBeGreaterThan(3);
    expect(Buffer.compare(Buffer.concat(pieces), wavFile([noise], 48000, "pcm8"))).toBe(0);
  });

  it("refuses to announce another length than there is", async () => {
    const pieces = wavPieces(audioOf([left], 48000), 4);
    await expect(async () => {
      for await (const _ of pieces);
    }).rejects.toThrow(RangeError);
  });

  it("takes the long form for more than 4 GB, and finds its length", async () => {
    const layout = { sampleRateHz: 192000, channelCount: 2, frames: 10 ** 10, format: "pcm24" } as const;
    const header = wavHeader(layout);
    expect(String.fromCharCode(...header.subarray(0, 4))).toBe("RF64");
    const { value } = await readWav({ ...bytesOf("long.wav", header), sizeBytes: header.length + 6e10 });
    expect(value?.totalSeconds).toBe(10 ** 10 / 192000);
  });
});

describe("other forms of header", () => {
  const plain = wavFile([left, right], 44100);

  it("reads the extensible form by the code in its identifier", async () => {
    const tail = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];
    const format = [
      ...[0xfe, 0xff, 1, 0, 0x80, 0xbb, 0, 0, 0, 0xee, 2, 0, 4, 0, 32, 0],
      ...[22, 0, 24, 0, 4, 0, 0, 0, 1, 0, ...tail],
    ];
    const samples = [0, 0, 0, 0x40, 0, 0, 0, 0xc0];
    const file = join(
      ascii("RIFF\0\0\0\0WAVEfmt "),
      [40, 0, 0, 0],
      format,
      ascii("data"),
      [8, 0, 0, 0],
      samples,
    );
    expect(await readAll(file)).toMatchObject({ sampleRateHz: 48000, samples: [[0.5, -0.5]], codes: [] });
    const odd = file.slice();
    odd[50] = 1;
    expect((await readAll(odd)).codes).toEqual(["wav-codec"]);
  });

  it("reads samples of three bytes that stand in four", async () => {
    const header = wavHeader({ sampleRateHz: 8000, channelCount: 1, frames: 2, format: "pcm32" });
    const file = join(set(header, 34, 24), [0, 0, 0, 0x40], [0, 0, 0, 0xc0]);
    expect(await readAll(file)).toMatchObject({ samples: [[0.5, -0.5]], codes: [] });
  });

  it("passes over chunks of odd length that it does not know", async () => {
    const note = join(ascii("note"), [3, 0, 0, 0], ascii("abc"), [0]);
    const file = join(plain.subarray(0, 12), note, plain.subarray(12));
    expect(await readAll(file)).toMatchObject({ samples: [[...left], [...right]], codes: [] });
  });

  it("leaves what comes after the samples alone", async () => {
    const file = join(plain, ascii("LIST"), [4, 0, 0, 0], ascii("INFO"));
    expect(await readAll(file)).toMatchObject({ samples: [[...left], [...right]], codes: [] });
  });
});

describe("headers that lie and files that end early", () => {
  const plain = wavFile([left, right], 44100);

  it.each<[string, Uint8Array, string, string[]]>([
    ["an empty file", new Uint8Array(0), "nothing", ["wav-not-wave"]],
    ["something else", Uint8Array.from(ascii("PK34 some archive")), "nothing", ["wav-not-wave"]],
    ["a header cut off in the format", plain.subarray(0, 25), "nothing", ["wav-format-short"]],
    ["a header cut off before the samples", plain.subarray(0, 36), "nothing", ["wav-no-samples"]],
    ["no samples at all", wavFile([new Float32Array(0)], 8000), "empty", []],
    ["0 channels", set(plain, 22, 0), "nothing", ["wav-channels"]],
    ["65535 channels", set(plain, 22, 255, 255), "nothing", ["wav-channels"]],
    ["a rate of 0", set(plain, 24, 0, 0, 0, 0), "nothing", ["wav-rate"]],
    ["a rate of 4 GHz", set(plain, 24, 255, 255, 255, 255), "nothing", ["wav-rate"]],
    ["0 bits", set(plain, 34, 0), "nothing", ["wav-bits"]],
    ["a compressed form", set(plain, 20, 2), "nothing", ["wav-codec"]],
    ["a frame size that cannot be", set(plain, 32, 7), "all", ["wav-frame-size"]],
    ["a length of 2 GB", set(plain, 40, 0, 0, 0, 0x78), "all", ["wav-length"]],
    ["a length of 0 before samples", set(plain, 40, 0, 0, 0, 0), "all", ["wav-length"]],
    ["a length that says unknown", set(plain, 40, 255, 255, 255, 255), "all", []],
    ["an end within a frame", plain.subarray(0, plain.length - 3), "four", ["wav-length", "wav-cut-off"]],
    [
      "samples before their format",
      join(plain.subarray(0, 12), plain.subarray(36)),
      "nothing",
      ["wav-no-format"],
    ],
  ])("%s", async (_, bytes, gives, codes) => {
    const read = await readAll(bytes);
    expect(read.codes).toEqual(codes);
    const lengths = { nothing: undefined, empty: 0, four: 4, all: 5 }[gives];
    expect(read.samples?.[0]?.length).toBe(lengths);
    for (const { message, where } of read.problems) {
      expect(message).toMatch(/\.$/);
      expect(where.file).toBe("rec.wav");
      expect(where.byte ?? where.seconds).toBeTypeOf("number");
    }
  });

  it("says where a pipe ends before the length that its header states", async () => {
    const long = set(plain, 40, 0, 0, 0, 0x50);
    const chunks = bytesOf("pipe", long).chunks;
    const { value } = await readWav({ file: "pipe", chunks });
    for await (const _ of value?.blocks ?? []);
    expect(value?.problems).toMatchObject([{ code: "wav-cut-off", where: { seconds: 5 / 44100 } }]);
  });

  it("takes a sample that is no number as silence and says where the first is", async () => {
    const file = wavFile([left], 8000, "float32");
    const at = file.length - 8;
    const read = await readAll(set(file, at, 0, 0, 0xc0, 0x7f));
    expect(read.samples).toEqual([[0, 0.5, -0.5, 0, -1]]);
    expect(read.problems).toMatchObject([{ code: "wav-not-finite", where: { seconds: 3 / 8000 } }]);
  });
});

describe("damaged headers", () => {
  it("neither stop the reader nor make it read more than there is", { timeout: 300_000 }, async () => {
    const random = createRandom(20260105);
    const seeds = wavSampleFormats.map((format: WavSampleFormat) => wavFile([left, right], 44100, format));
    for (let run = 0; run < 20_000; run += 1) {
      const file = (seeds[run % seeds.length] ?? new Uint8Array(0)).slice();
      const hits = 1 + random.below(4);
      for (let hit = 0; hit < hits; hit += 1) file[random.below(60)] = random.below(256);
      const cut = random.below(3) === 0 ? file.subarray(0, random.below(file.length)) : file;
      const { value, problems } = await readWav(bytesOf("damaged.wav", cut));
      let frames = 0;
      if (value === undefined) expect(problems.length, `run ${run}`).toBeGreaterThan(0);
      else for await (const { channels } of value.blocks) frames += channels[0]?.length ?? 0;
      expect(frames, `run ${run}`).toBeLessThanOrEqual(cut.length);
    }
  });
});
