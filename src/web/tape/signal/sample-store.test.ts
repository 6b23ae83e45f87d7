import { describe, expect, it } from "vitest";
import { createRandom } from "../../../core/base/random.js";
import { SampleStore } from "./sample-store.js";

const random = createRandom(5);
const left = Float32Array.from({ length: 150_001 }, () => 0.001 * (2 * random.next() - 1));
const right = Float32Array.from({ length: 150_001 }, () => 2 * random.next() - 1);
const store = new SampleStore(44100, 2);
for (let i = 0; i < left.length; i += 9973) {
  store.push({ channels: [left.subarray(i, i + 9973), right.subarray(i, i + 9973)] });
}

function furthest(a: Float32Array, b: Float32Array): number {
  return a.reduce((most, value, i) => Math.max(most, Math.abs(value - (b[i] ?? Number.NaN))), 0);
}

describe("the store of samples", () => {
  it("gives back a quiet and a loud channel alike, 96 dB below their peaks", () => {
    expect(store.samples).toBe(left.length);
    expect(furthest(left, store.read(0, left.length, 0))).toBeLessThan(1.01 * 0.001 * 2 ** -16);
    expect(furthest(right, store.read(0, right.length, 1))).toBeLessThan(1.01 * 2 ** -16);
  });

  it("reads any stretch, across chunks and up to the end", () => {
    expect(furthest(left.subarray(65_000, 66_000), store.read(65_000, 1000, 0))).toBeLessThan(1e-7);
    expect(store.read(150_000, 1000, 1)).toHaveLength(1);
    expect(store.read(200_000, 1000, 1)).toHaveLength(0);
  });

  it("gives the mean of its channels", () => {
    const mean = left.map((value, i) => (value + (right[i] ?? 0)) / 2);
    expect(furthest(mean, store.read(0, mean.length, "mean"))).toBeLessThan(1.01 * 2 ** -16);
  });

  it("is read block by block, and says how far", async () => {
    const shares: number[] = [];
    let samples = 0;
    for await (const { channels } of store.source(async (share) => void shares.push(share)).blocks) {
      samples += channels[1]?.length ?? 0;
    }
    expect(samples).toBe(left.length);
    expect(shares).toEqual([0, 65536 / left.length, 131072 / left.length]);
  });
});
