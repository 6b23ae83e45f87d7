import { describe, expect, it } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import { audioOf } from "../../src/core/signal/samples.js";
import { blockBytes } from "../../src/core/tape/blocks.js";
import { encodeTape, type RecordingOptions } from "../../src/core/tape/encode.js";
import { meanSpeedErrorPercent, readTape } from "../../src/core/tape/read-tape.js";
import { openStore } from "../../src/store/store.js";

const schemes = openStore().data.tapeSchemes();
const random = createRandom(1976);
const bytes = Uint8Array.from({ length: 160 }, () => random.below(256));
const variants: [
  name: string,
  options: Omit<RecordingOptions, "sampleRateHz"> & { sampleRateHz?: number },
][] = [
  ["as it is", {}],
  ["upside down", { isInverted: true }],
  ["with square edges", { edges: "square" }],
  ["15 % fast", { speedRatio: 1.15 }],
  ["15 % slow, quiet", { speedRatio: 0.85, level: 0.01 }],
  ["at 22,050 samples a second", { sampleRateHz: 22050, edges: "rounded" }],
];

describe.each(schemes.map((scheme) => [scheme.id, scheme] as const))("a recording in %s", (_, scheme) => {
  it.each(variants)("is read back byte for byte %s", async (_name, options) => {
    const sampleRateHz = options.sampleRateHz ?? 44100;
    const samples = encodeTape(scheme, bytes, { leaderSeconds: 1, ...options, sampleRateHz });
    const { tape, blocks } = await readTape(audioOf([samples], sampleRateHz), scheme);
    expect(blocks.map(({ check }) => check)).toEqual([scheme.block?.check === undefined ? "none" : "good"]);
    const [block] = blocks;
    expect(block === undefined ? [] : [...blockBytes(tape, block)]).toEqual([...bytes]);
    const error = meanSpeedErrorPercent(tape) ?? Number.NaN;
    expect(Math.abs(error - 100 * ((options.speedRatio ?? 1) - 1))).toBeLessThan(1.5);
  });

  it("gives nothing for silence, and nothing for a steady hum", async () => {
    const hum = Float32Array.from(
      { length: 44100 },
      (_v, i) => 0.5 * Math.sin((2 * Math.PI * 50 * i) / 44100),
    );
    for (const samples of [new Float32Array(0), new Float32Array(44100), hum]) {
      const { blocks } = await readTape(audioOf([samples], 44100), scheme);
      expect(blocks).toEqual([]);
    }
  });
});

describe("a stereo recording", () => {
  const scheme = schemes.find(({ id }) => id === "kansas-city-1200");
  it("is read from the channel that has the signal, and when one is upside down", async () => {
    if (scheme === undefined) throw new Error("there is no scheme kansas-city-1200");
    const samples = encodeTape(scheme, bytes, { sampleRateHz: 44100, leaderSeconds: 1 });
    const silent = new Float32Array(samples.length);
    for (const channels of [
      [silent, samples],
      [samples, samples.map((value) => -value)],
    ]) {
      const { tape, blocks } = await readTape(audioOf(channels, 44100), scheme);
      const [block] = blocks;
      expect(block === undefined ? [] : [...blockBytes(tape, block)]).toEqual([...bytes]);
    }
  });
});
