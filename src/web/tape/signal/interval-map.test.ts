import { describe, expect, it } from "vitest";
import { CycleFinder } from "./cycles.js";
import { columnSamples, IntervalCounter, IntervalMap, intervalRow, intervalRows } from "./interval-map.js";

const rate = 48000;

function tone(
  hertz: number,
  seconds: number,
  change: (value: number) => number = (value) => value,
): Float32Array {
  return Float32Array.from({ length: seconds * rate }, (_, i) =>
    change(Math.sin((2 * Math.PI * hertz * i) / rate)),
  );
}

function cyclesOf(samples: Float32Array, piece = samples.length): number[] {
  const finder = new CycleFinder(rate);
  const lengths: number[] = [];
  for (let i = 0; i < samples.length; i += piece) {
    finder.push(samples.subarray(i, i + piece), (_, length) => lengths.push(length));
  }
  return lengths;
}

describe("cycles of a signal", () => {
  it.each([
    ["as it is", (value: number) => 0.5 * value],
    ["clipped on one side", (value: number) => Math.min(0.2, value)],
    ["very quiet", (value: number) => 0.002 * value],
    ["upside down and off its middle", (value: number) => 0.3 - 0.2 * value],
  ])("have their length, the signal %s", (_, change) => {
    const lengths = cyclesOf(tone(1200, 0.5, change)).slice(60);
    expect(lengths.length).toBeGreaterThan(500);
    for (const length of lengths) expect(Math.abs(length - 40)).toBeLessThan(0.35);
    const mean = lengths.reduce((sum, length) => sum + length, 0) / lengths.length;
    expect(mean).toBeCloseTo(40, 2);
  });

  it("do not depend on how the signal is cut up", () => {
    const samples = tone(2400, 0.3);
    expect(cyclesOf(samples, 1001)).toEqual(cyclesOf(samples));
  });

  it("are none in silence", () => {
    expect(cyclesOf(new Float32Array(rate))).toEqual([]);
  });
});

describe("the map of intervals", () => {
  const samples = new Float32Array([...tone(1200, 1), ...tone(2400, 1)]);
  const counter = new IntervalCounter(rate);
  const map = new IntervalMap();
  for (let i = 0; i < samples.length; i += 5000) map.push(counter.push(samples.subarray(i, i + 5000)));
  map.push(counter.finish());

  function counts(from: number, to: number): Map<number, number> {
    const sums = new Float64Array(intervalRows);
    map.addTo(sums, from, to);
    return new Map([...sums.entries()].filter(([, sum]) => sum > 0));
  }

  it("counts every cycle once, at whatever scale it is asked", () => {
    const total = (from: number, to: number): number =>
      [...counts(from, to).values()].reduce((sum, n) => sum + n, 0);
    const whole = total(0, samples.length);
    expect(whole).toBe(cyclesOf(samples).length);
    let parts = 0;
    for (let at = 0; at < samples.length; at += 4 * columnSamples) parts += total(at, at + 4 * columnSamples);
    expect(parts).toBe(whole);
  });

  it("has the low tone an octave below the high one", () => {
    const low = Math.floor(intervalRow(1 / 1200 + 1e-9));
    expect(counts(20_480, 40_960).get(low) ?? 0).toBeGreaterThan(400);
    expect([...counts(61_440, 81_920).keys()].every((row) => Math.abs(row - (low - 12)) <= 1)).toBe(true);
  });
});
