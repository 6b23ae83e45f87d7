/*
 * Why: the strip of the tape page is redrawn with every movement of a finger, over a recording of any length. This says
 * how long the numbers for one picture take at every scale, over 100 million samples, and what the pyramids weigh. It
 * leaves out the painting itself, which depends on the browser.
 */
import { createRandom } from "../src/core/base/random.js";
import { IntervalCounter, IntervalMap, intervalRows } from "../src/web/tape/signal/interval-map.js";
import { CellMaker, Pyramid } from "../src/web/tape/signal/pyramid.js";

const samples = 100_000_000;
const sampleRateHz = 48_000;
const pieceSamples = 1 << 19;
const widthPixels = 1200;
const repeats = 20;

const random = createRandom(1);
const noise = Float32Array.from({ length: 65536 }, () => 0.1 * (random.next() - 0.5));
const pyramid = new Pyramid();
const map = new IntervalMap();
const maker = new CellMaker();
const counter = new IntervalCounter(sampleRateHz);
const piece = new Float32Array(pieceSamples);
const heapBefore = process.memoryUsage().arrayBuffers;
const begun = performance.now();
for (let at = 0; at < samples; at += pieceSamples) {
  const count = Math.min(pieceSamples, samples - at);
  for (let i = 0; i < count; i += 1) {
    piece[i] = 0.5 * Math.sin(0.157 * (at + i)) + (noise[(at + i) & 65535] ?? 0);
  }
  const part = piece.subarray(0, count);
  pyramid.push(maker.push(part));
  map.push(counter.push(part));
}
pyramid.push(maker.finish());
map.push(counter.finish());
const buildSeconds = (performance.now() - begun) / 1000;

/** Milliseconds for the numbers of one picture that shows so many samples. */
function pictureMilliseconds(shown: number): number {
  const range = { low: 0, high: 0 };
  const sums = new Float64Array(intervalRows);
  const times: number[] = [];
  for (let round = 0; round < repeats; round += 1) {
    const first = Math.floor(random.next() * (samples - shown));
    const start = performance.now();
    for (let x = 0; x < widthPixels; x += 1) {
      const from = first + (x * shown) / widthPixels;
      pyramid.rangeOf(from, from + shown / widthPixels, range);
      if (x % 2 === 0) map.addTo(sums.fill(0), from, from + (2 * shown) / widthPixels);
    }
    times.push(performance.now() - start);
  }
  times.sort((a, b) => a - b);
  return times[Math.floor(times.length / 2)] ?? Number.NaN;
}

const pictures = [1, 0.1, 0.01, 0.001].map((share) => ({
  shownSamples: Math.round(share * samples),
  medianMilliseconds: Number(pictureMilliseconds(Math.round(share * samples)).toFixed(2)),
}));
console.log(
  JSON.stringify({
    samples,
    widthPixels,
    buildSeconds: Number(buildSeconds.toFixed(1)),
    megabytes: Math.round((process.memoryUsage().arrayBuffers - heapBefore) / 1e6),
    pictures,
  }),
);
