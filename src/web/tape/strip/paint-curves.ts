import { CycleFinder } from "../signal/cycles.js";
import { columnSamples, intervalRow, intervalRows } from "../signal/interval-map.js";
import { byteAt } from "../work/reading.js";
import { fonts, type Painting, pixelOf, within } from "./painting.js";

/** Samples taken in before the window, for the middle and height of the signal to be known. */
const runUp = 4096;

/** Lengths of cycles over time: the darker, the more; from close up every cycle by itself. Their sum stands at the right. */
export function paintIntervals(painting: Painting): void {
  const { context, lanes, colours, expected } = painting;
  const { top, height } = lanes.intervals;
  const sums = new Float64Array(intervalRows);
  const scale = scaleOf(painting);
  context.font = fonts.small;
  context.textBaseline = "middle";
  context.textAlign = "right";
  for (const seconds of expected) {
    const y = scale.yOf(intervalRow(seconds));
    if (y < top || y > top + height) continue;
    context.strokeStyle = colours.grid;
    context.setLineDash([2, 4]);
    context.beginPath();
    context.moveTo(lanes.left, y);
    context.lineTo(lanes.left + lanes.width, y);
    context.stroke();
    context.setLineDash([]);
  }
  const marks = expected.length > 0 ? expected : [200e-6, 400e-6, 800e-6, 1600e-6];
  let last = Number.NaN;
  for (const seconds of [...marks].sort((a, b) => a - b)) {
    const y = scale.yOf(intervalRow(seconds));
    if (y < top + 6 || y > top + height - 6 || Math.abs(y - last) < 15) continue;
    last = y;
    context.fillStyle = colours.quiet;
    context.fillText(`${Math.round(seconds * 1e6)}${lanes.left > 70 ? " µs" : ""}`, lanes.left - 8, y);
  }
  within(painting, lanes.intervals, () => {
    const columnPixels = columnSamples / painting.take.sampleRateHz / painting.view.secondsPerPixel;
    if (painting.window !== undefined && columnPixels > 12) paintCycles(painting, scale, sums);
    else paintDarkness(painting, scale, sums);
  });
  paintSums(painting, scale, sums);
}

interface Scale {
  readonly first: number;
  readonly last: number;
  readonly yOf: (row: number) => number;
}

/** Rows from 125 µs to 2.2 ms, or as far as the scheme's cycles reach beyond that. */
function scaleOf({ lanes, expected }: Painting): Scale {
  const rows = expected.map(intervalRow);
  const first = Math.max(0, Math.floor(Math.min(13, ...rows.map((row) => row - 6))));
  const last = Math.min(intervalRows, Math.ceil(Math.max(60, ...rows.map((row) => row + 7))));
  const { top, height } = lanes.intervals;
  return { first, last, yOf: (row) => top + ((row - first) / (last - first)) * height };
}

function paintDarkness(painting: Painting, scale: Scale, sums: Float64Array): void {
  const { context, lanes, view, take, channel, colours } = painting;
  const map = take.maps[channel];
  if (map === undefined) return;
  const wide = Math.max(2, columnSamples / take.sampleRateHz / view.secondsPerPixel);
  const rowHeight = Math.max(1, scale.yOf(1) - scale.yOf(0));
  const column = new Float64Array(intervalRows);
  const begin = view.startSeconds * take.sampleRateHz;
  const perPixel = view.secondsPerPixel * take.sampleRateHz;
  context.fillStyle = colours.trace;
  for (let x = 0; x < lanes.width; x += wide) {
    column.fill(0);
    map.addTo(column, begin + x * perPixel, begin + (x + wide) * perPixel);
    let most = 0;
    for (const count of column) most = Math.max(most, count);
    if (most === 0) continue;
    for (let row = scale.first; row < scale.last; row += 1) {
      const count = column[row] ?? 0;
      if (count === 0) continue;
      sums[row] = (sums[row] ?? 0) + count;
      context.globalAlpha = 0.12 + 0.88 * (count / most) ** 0.6;
      context.fillRect(lanes.left + x, scale.yOf(row), wide + 0.3, rowHeight);
    }
  }
  context.globalAlpha = 1;
}

function paintCycles(painting: Painting, scale: Scale, sums: Float64Array): void {
  const { context, lanes, view, take, window, colours } = painting;
  if (window === undefined) return;
  const rate = take.sampleRateHz;
  const start = Math.max(0, Math.floor(view.startSeconds * rate) - runUp - window.from);
  const end = Math.ceil((view.startSeconds + lanes.width * view.secondsPerPixel) * rate) + 400 - window.from;
  const finder = new CycleFinder(rate, window.from + start);
  context.strokeStyle = colours.trace;
  context.lineWidth = 3;
  context.lineCap = "butt";
  finder.push(window.samples.subarray(start, Math.max(start, end)), (place, length) => {
    const to = pixelOf(painting, place / rate);
    const from = pixelOf(painting, (place - length) / rate);
    if (to < lanes.left || from > lanes.left + lanes.width) return;
    const row = intervalRow(length / rate);
    const whole = Math.floor(row);
    if (whole >= 0 && whole < intervalRows) sums[whole] = (sums[whole] ?? 0) + 1;
    const y = scale.yOf(row);
    context.beginPath();
    context.moveTo(from + Math.min(2, (to - from) / 6), y);
    context.lineTo(to - Math.min(2, (to - from) / 6), y);
    context.stroke();
  });
}

/** The histogram of what is in view, on the same scale as the band. */
function paintSums(painting: Painting, scale: Scale, sums: Float64Array): void {
  const { context, lanes, colours } = painting;
  const x = lanes.left + lanes.width + 6;
  const width = lanes.right - 12;
  let most = 0;
  for (let row = scale.first; row < scale.last; row += 1) most = Math.max(most, sums[row] ?? 0);
  context.fillStyle = colours.quiet;
  context.fillRect(x - 1, lanes.intervals.top, 1, lanes.intervals.height);
  if (most === 0) return;
  context.fillStyle = colours.trace;
  const rowHeight = Math.max(1, scale.yOf(1) - scale.yOf(0));
  for (let row = scale.first; row < scale.last; row += 1) {
    const share = (sums[row] ?? 0) / most;
    if (share > 0) context.fillRect(x, scale.yOf(row), Math.max(1, share * width), rowHeight);
  }
}

/** Speed of the tape as the bytes show it, in percent of the nominal one. */
export function paintSpeed(painting: Painting): void {
  const { context, lanes, colours, reading, view } = painting;
  const { top, height } = lanes.speed;
  const reach = reading === null ? 2 : speedReach(reading.speedRatio);
  const yOf = (percent: number): number => top + height / 2 - (percent / reach) * (height / 2 - 8);
  context.strokeStyle = colours.grid;
  context.lineWidth = 1;
  context.beginPath();
  const middle = Math.round(yOf(0)) + 0.5;
  context.moveTo(lanes.left, middle);
  context.lineTo(lanes.left + lanes.width, middle);
  context.stroke();
  context.font = fonts.small;
  context.textAlign = "right";
  context.textBaseline = "middle";
  context.fillStyle = colours.quiet;
  context.fillText(`+${reach} %`, lanes.left - 8, top + 9);
  context.fillText(`−${reach} %`, lanes.left - 8, top + height - 9);
  if (lanes.left > 70) context.fillText("speed", lanes.left - 8, middle);
  if (reading === null) return;
  within(painting, lanes.speed, () => {
    context.strokeStyle = colours.trace;
    context.lineWidth = 2;
    context.beginPath();
    const end = view.startSeconds + view.secondsPerPixel * lanes.width;
    const { startSeconds, speedRatio } = reading;
    let before = Number.NaN;
    let pixel = Number.NaN;
    let low = 0;
    let high = 0;
    for (
      let byte = Math.max(0, byteAt(reading, view.startSeconds) - 1);
      byte < startSeconds.length;
      byte += 1
    ) {
      const seconds = startSeconds[byte] ?? 0;
      const x = pixelOf(painting, seconds);
      const y = yOf(100 * ((speedRatio[byte] ?? 1) - 1));
      const isApart = !(seconds - before < 0.5);
      if (isApart) context.moveTo(x, y);
      else if (Math.round(x) === pixel) {
        low = Math.min(low, y);
        high = Math.max(high, y);
        before = seconds;
        continue;
      } else {
        if (high > low) {
          context.moveTo(pixel, low);
          context.lineTo(pixel, high);
        }
        context.lineTo(x, y);
      }
      pixel = Math.round(x);
      low = y;
      high = y;
      before = seconds;
      if (seconds > end) break;
    }
    context.stroke();
  });
}

/** Reach of the scale in percent: the least of 1, 2, 5, 10, 20, 50 that holds nearly all of the curve. */
function speedReach(ratios: Float32Array): number {
  let most = 0;
  for (const ratio of ratios) most = Math.max(most, Math.abs(100 * (ratio - 1)));
  return [1, 2, 5, 10, 20, 50].find((reach) => reach >= most) ?? 50;
}
