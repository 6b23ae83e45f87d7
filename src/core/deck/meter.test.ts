import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { audioOf } from "../signal/samples.js";
import { DeckMeter, measureDeck } from "./meter.js";
import type { DeckReading, MeasureOptions } from "./reading.js";
import { type FlutterPart, renderTones, type ToneOptions, testTones } from "./test-tone.js";

const rateHz = 44100;

function tone(seconds: number, options: ToneOptions = {}, hz = 3150): Float32Array {
  return renderTones([{ hz, seconds, levelDecibel: -10 }], rateHz, options);
}

async function measure(channels: readonly Float32Array[], options: MeasureOptions = {}) {
  return measureDeck(audioOf(channels, rateHz), options);
}

async function reading(
  channels: readonly Float32Array[],
  options: MeasureOptions = {},
): Promise<DeckReading> {
  const { value, problems } = await measure(channels, options);
  if (value === undefined) throw new Error(problems.map(({ message }) => message).join(" "));
  return value;
}

describe("speed", () => {
  it.each([-0.1, -0.02, 0, 0.013, 0.08])(
    "is read to one part in 10 000 at an error of %f",
    async (speedErrorRatio) => {
      const { speed } = await reading([tone(8, { speedErrorRatio })], { toneHz: 3150 });
      expect(Math.abs(speed.meanRatio - speedErrorRatio)).toBeLessThan(0.0001);
    },
  );

  it("is told apart at start, middle and end", async () => {
    const parts = [3120, 3150, 3180].map((hz) => ({ hz, seconds: 10, levelDecibel: -10 }));
    const { speed } = await reading([renderTones(parts, rateHz)]);
    for (const [ours, hz] of [
      [speed.startRatio, 3120],
      [speed.middleRatio, 3150],
      [speed.endRatio, 3180],
    ] as const) {
      expect(Math.abs(ours - (hz / 3150 - 1))).toBeLessThan(0.0002);
    }
  });

  it("asks which tone it is where a deck could be so far off with either", async () => {
    const { value, problems } = await measure([tone(8, {}, 3070)]);
    expect(value).toMatchObject({ toneHz: 3000, otherToneHz: 3150 });
    expect(problems.map(({ code }) => code)).toEqual(["deck-tone-ambiguous"]);
    expect((await measure([tone(8, {}, 3070)], { toneHz: 3150 })).problems).toEqual([]);
    expect(await reading([tone(8, {}, 3010)])).toMatchObject({ toneHz: 3000, otherToneHz: undefined });
  });
});

describe("the same recording", () => {
  it("can be read again with something else known of it", () => {
    const meter = new DeckMeter(rateHz);
    const flutter = [{ hz: 4, depthRatio: 0.002 }];
    meter.push({ channels: [tone(12, { flutter }, 3080)] });
    const first = meter.finish({}).value;
    const second = meter.finish({ toneHz: 3000 }).value;
    const third = meter.finish({}).value;
    expect(second?.speed.meanRatio).toBeCloseTo(3080 / 3000 - 1, 6);
    expect(third?.speed.meanRatio).toBeCloseTo(first?.speed.meanRatio ?? 1, 8);
    expect(third?.flutter?.weightedPeakRatio).toBeCloseTo(first?.flutter?.weightedPeakRatio ?? 1, 7);
  });
});

describe("wow and flutter", () => {
  it.each<[number, number]>([
    [0.5, 0.0005],
    [1, 0.01],
    [4, 0.002],
    [25, 0.001],
    [100, 0.0005],
  ])("of %f Hz and depth %f is read closely, unweighted", async (hz, depthRatio) => {
    const { flutter } = await reading([tone(20, { flutter: [{ hz, depthRatio }] })]);
    expect(Math.abs((flutter?.unweightedPeakRatio ?? 0) / depthRatio - 1)).toBeLessThan(0.03);
    if (hz === 4) {
      expect(Math.abs((flutter?.weightedPeakRatio ?? 0) / depthRatio - 1)).toBeLessThan(0.03);
      expect(Math.abs(((flutter?.weightedRmsRatio ?? 0) * Math.SQRT2) / depthRatio - 1)).toBeLessThan(0.03);
    }
  });

  it("is all but nothing on a steady tone, whatever its speed", async () => {
    const { flutter } = await reading([tone(20, { speedErrorRatio: -0.05 })], { toneHz: 3150 });
    expect(flutter?.unweightedPeakRatio).toBeLessThan(2e-5);
  });

  it("is not read from a tone of less than five seconds", async () => {
    const { value, problems } = await measure([tone(4)]);
    expect(value?.flutter).toBeUndefined();
    expect(problems.map(({ code }) => code)).toEqual(["deck-tone-short"]);
  });

  it("and speed are not spoilt by losses of a second, nor by something else on the other channel", async () => {
    const flutter: FlutterPart[] = [{ hz: 4, depthRatio: 0.001 }];
    const samples = tone(24, { flutter });
    for (const second of [4, 10, 16]) samples.fill(0, second * rateHz, (second + 1) * rateHz);
    const lost = await reading([samples]);
    expect(lost.dropouts).toHaveLength(3);
    expect(Math.abs(lost.speed.meanRatio)).toBeLessThan(0.0001);
    const other = await reading([tone(20, {}, 1000).map((value) => 0.9 * value), tone(20, { flutter })]);
    expect(Math.abs(other.speed.meanRatio)).toBeLessThan(0.0001);
    expect(Math.abs((other.flutter?.weightedPeakRatio ?? 0) / 0.001 - 1)).toBeLessThan(0.03);
  });

  it("is not spoilt by dropouts", async () => {
    const flutter: FlutterPart[] = [{ hz: 4, depthRatio: 0.001 }];
    const samples = tone(20, { flutter });
    for (const second of [3, 7.5, 12]) samples.fill(0, second * rateHz, (second + 0.01) * rateHz);
    const found = await reading([samples]);
    expect(Math.abs((found.flutter?.weightedPeakRatio ?? 0) / 0.001 - 1)).toBeLessThan(0.03);
    expect(found.dropouts.map(({ startSeconds }) => Number(startSeconds.toFixed(2)))).toEqual([3, 7.5, 12]);
    for (const { durationSeconds } of found.dropouts)
      expect(Math.abs(durationSeconds - 0.01)).toBeLessThan(0.001);
  });

  it("shows peaks that are traced to what turns", async () => {
    const flutter = [
      { hz: 6.06, depthRatio: 0.001 },
      { hz: 0.69, depthRatio: 0.0008 },
    ];
    const { peaks } = await reading([tone(40, { flutter })], { geometry: { capstanMillimetres: 2.5 } });
    expect(peaks.slice(0, 2).map(({ hz }) => Number(hz.toFixed(1)))).toEqual([6.1, 0.7]);
    expect(peaks[0]?.causes[0]).toMatchObject({ part: "capstan", harmonic: 1, isUsual: false });
    expect(peaks[1]?.causes[0]).toMatchObject({ part: "reel", isUsual: true });
    expect(Math.abs((peaks[0]?.depthRatio ?? 0) / 0.001 - 1)).toBeLessThan(0.03);
  });
});

describe("level, noise and channels", () => {
  it("gives levels and balance, and hum and noise against the tone", async () => {
    const random = createRandom(11);
    const left = tone(20).map((value, i) => value + 0.003 * Math.sin((2 * Math.PI * 50 * i) / rateHz));
    const noisy = left.map((value) => value + 0.004 * (random.next() - 0.5));
    const right = noisy.map((value) => value / 2);
    const { level, azimuth, noise } = await reading([noisy, right]);
    expect(level.channelDecibel.map((value) => Number(value.toFixed(1)))).toEqual([-10, -16]);
    expect(azimuth?.balanceDecibel).toBeCloseTo(6.02, 1);
    expect(noise?.mainsHz).toBe(50);
    expect(noise?.humDecibel).toBeCloseTo(20 * Math.log10(0.003 / 10 ** -0.5), 0);
    const whiteDecibel = 10 * Math.log10(((0.004 ** 2 / 12) * (19980 / 22050)) / 0.05);
    expect(noise?.noiseDecibel).toBeCloseTo(whiteDecibel, 0);
  });

  it("finds the tilt of the head from several tones, even beyond a cycle of the highest", async () => {
    const wish = { seconds: 4, levelDecibel: -12, speedHz: 3150 };
    const both = renderTones(testTones("azimuth", wish), rateHz);
    const delay = 5;
    const right = new Float32Array(both.length);
    right.set(both.subarray(0, both.length - delay), delay);
    const { azimuth, response } = await reading([both, right]);
    const delaySeconds = delay / rateHz;
    expect(azimuth?.tilt?.delaySeconds).toBeCloseTo(delaySeconds, 7);
    const minutes = (Math.atan((delaySeconds * 0.047625) / 0.0009) * 180 * 60) / Math.PI;
    expect(azimuth?.tilt?.minutes).toBeCloseTo(minutes, 1);
    expect(response.map(({ hz }) => Math.round(hz))).toEqual([3150, 6300, 10000]);
  });

  it("does not take two copies of one channel for a straight head", async () => {
    const samples = tone(8);
    const { azimuth } = await reading([samples, samples]);
    expect(azimuth).toMatchObject({ isSameSignal: true });
    expect(azimuth?.tilt).toBeUndefined();
  });

  it("reads the louder channel, even after a long silence", async () => {
    const late = new Float32Array(14 * rateHz);
    late.set(tone(8, { speedErrorRatio: 0.02 }), 6 * rateHz);
    const after = await reading([new Float32Array(14 * rateHz), late]);
    expect(after.speed.meanRatio).toBeCloseTo(0.02, 4);
    expect(after.toneStartSeconds).toBeCloseTo(6, 0);
    const found = await reading([new Float32Array(8 * rateHz), tone(8, { speedErrorRatio: 0.02 })]);
    expect(found.speed.meanRatio).toBeCloseTo(0.02, 4);
  });
});

describe("recordings that hold no tone", () => {
  const random = createRandom(3);
  it.each<[string, Float32Array, string]>([
    ["no samples", new Float32Array(0), "deck-no-samples"],
    ["half a second", tone(0.5), "deck-no-samples"],
    ["silence", new Float32Array(5 * rateHz), "deck-silence"],
    ["noise", Float32Array.from({ length: 5 * rateHz }, () => random.next() - 0.5), "deck-no-tone"],
    ["another tone", tone(5, {}, 1000), "deck-no-tone"],
  ])("%s", async (_, samples, code) => {
    const { value, problems } = await measure([samples]);
    expect(value).toBeUndefined();
    expect(problems.map((problem) => problem.code)).toEqual([code]);
    expect(problems[0]?.hint).toBeTypeOf("string");
  });

  it("a rate too low to hold it", async () => {
    const { problems } = await measureDeck(audioOf([new Float32Array(60_000)], 6000));
    expect(problems.map(({ code }) => code)).toEqual(["deck-rate-low"]);
  });
});
