import { describe, expect, it } from "vitest";
import { createRandom } from "../../../core/base/random.js";
import { CellMaker, cellSamples, Pyramid } from "./pyramid.js";

function noise(count: number, seed: number): Float32Array {
  const random = createRandom(seed);
  return Float32Array.from({ length: count }, () => 2 * random.next() - 1);
}

function pyramidOf(samples: Float32Array, piece: number): Pyramid {
  const maker = new CellMaker();
  const pyramid = new Pyramid();
  for (let i = 0; i < samples.length; i += piece) pyramid.push(maker.push(samples.subarray(i, i + piece)));
  pyramid.push(maker.finish());
  return pyramid;
}

describe("the pyramid of a recording", () => {
  const samples = noise(300_017, 11);

  it.each([1000, 4096, 99_991])("has a cell for every 64 samples, fed %i samples at a time", (piece) => {
    expect(pyramidOf(samples, piece).cells).toBe(Math.ceil(samples.length / cellSamples));
  });

  it("holds every sample of a stretch, and none from further away than a quarter of its length", () => {
    const pyramid = pyramidOf(samples, 7777);
    const range = { low: 0, high: 0 };
    const random = createRandom(3);
    for (let round = 0; round < 200; round += 1) {
      const length = 2 * cellSamples + Math.floor(random.next() ** 3 * 200_000);
      const from = Math.floor(random.next() * (samples.length - length));
      const to = from + length;
      expect(pyramid.rangeOf(from, to, range)).toBe(true);
      const near = samples.subarray(from, to);
      const wide = samples.subarray(Math.max(0, from - length / 2), to + length / 2);
      const low = (list: Float32Array): number => list.reduce((a, b) => Math.min(a, b), 1);
      const high = (list: Float32Array): number => list.reduce((a, b) => Math.max(a, b), -1);
      expect(range.low).toBeLessThanOrEqual(low(near));
      expect(range.high).toBeGreaterThanOrEqual(high(near));
      expect(range.low).toBeGreaterThanOrEqual(low(wide));
      expect(range.high).toBeLessThanOrEqual(high(wide));
    }
  });

  it("knows the last samples at every scale", () => {
    const quiet = new Float32Array(100_001);
    quiet[100_000] = 0.75;
    const pyramid = pyramidOf(quiet, 4096);
    const range = { low: 0, high: 0 };
    for (const length of [100, 1000, 10_000, 100_001]) {
      expect(pyramid.rangeOf(quiet.length - length, quiet.length, range)).toBe(true);
      expect(range).toEqual({ low: 0, high: 0.75 });
    }
  });

  it("has nothing beyond the end", () => {
    expect(pyramidOf(samples, 4096).rangeOf(400_000, 500_000, { low: 0, high: 0 })).toBe(false);
  });
});
