import { fonts, type Painting, pixelOf, within } from "./painting.js";
import { momentOnTape, rulerStep } from "./strip-view.js";

/** Paper, ruler, and the whole recording with the window on it. */
export function paintFrame(painting: Painting): void {
  const { context, lanes, colours } = painting;
  context.fillStyle = colours.paper;
  context.fillRect(0, 0, lanes.left + lanes.width + lanes.right, lanes.speed.top + lanes.speed.height + 12);
  paintOverview(painting);
  paintRuler(painting);
}

function paintOverview(painting: Painting): void {
  const { context, lanes, view, colours, take, channel, reading, doubts } = painting;
  const { top, height } = lanes.overview;
  context.fillStyle = colours.edge;
  context.fillRect(0, top, lanes.left + lanes.width + lanes.right, height);
  const seconds = take.samples / take.sampleRateHz;
  const pyramid = take.pyramids[channel];
  if (pyramid === undefined || seconds === 0) return;
  const middle = top + height / 2 + 2;
  const range = { low: 0, high: 0 };
  if (!pyramid.rangeOf(0, take.samples, range)) return;
  const scale = (height / 2 - 8) / Math.max(1e-6, Math.abs(range.low), range.high);
  const perPixel = take.samples / lanes.width;
  context.fillStyle = colours.quiet;
  for (let x = 0; x < lanes.width; x += 1) {
    if (!pyramid.rangeOf(x * perPixel, (x + 1) * perPixel, range)) continue;
    const high = Math.max(0.5, range.high * scale);
    context.fillRect(lanes.left + x, middle - high, 1, Math.max(1, high - range.low * scale));
  }
  const place = (at: number): number => lanes.left + (at / seconds) * lanes.width;
  context.fillStyle = colours.block;
  for (const { startSeconds, endSeconds } of reading?.blocks ?? []) {
    const x = place(startSeconds);
    context.fillRect(x, top + height - 5, Math.max(2, place(endSeconds) - x), 4);
  }
  context.fillStyle = colours.accent;
  for (const doubt of doubts) {
    const x = place(reading?.startSeconds[doubt] ?? 0);
    context.fillRect(Math.round(x) - 1, top + 2, 2, 9);
  }
  const x = place(view.startSeconds);
  const width = Math.max(6, (view.secondsPerPixel * lanes.width * lanes.width) / seconds);
  context.strokeStyle = colours.ink;
  context.lineWidth = 2;
  context.beginPath();
  context.roundRect(Math.min(x, lanes.left + lanes.width - width) + 1, top + 2, width - 2, height - 4, 5);
  context.stroke();
}

function paintRuler(painting: Painting): void {
  const { context, lanes, view, colours } = painting;
  const { top, height } = lanes.ruler;
  const step = rulerStep(view.secondsPerPixel, 110);
  const bottom = lanes.speed.top + lanes.speed.height;
  const last = view.startSeconds + view.secondsPerPixel * lanes.width;
  context.strokeStyle = colours.grid;
  context.lineWidth = 1;
  context.beginPath();
  const small = step / 5;
  for (let n = Math.ceil(view.startSeconds / small); n * small <= last; n += 1) {
    const x = Math.round(pixelOf(painting, n * small)) + 0.5;
    const isMain = n % 5 === 0;
    context.moveTo(x, isMain ? top + height : top + height - 5);
    context.lineTo(x, isMain ? bottom : top + height);
  }
  context.stroke();
  context.font = fonts.small;
  context.textBaseline = "middle";
  context.textAlign = "left";
  const right = lanes.left + lanes.width + lanes.right;
  for (let n = Math.ceil(view.startSeconds / step); n * step <= last; n += 1) {
    const x = pixelOf(painting, n * step);
    // The paper is perforated where the ruler is written.
    context.fillStyle = colours.hole;
    context.beginPath();
    context.arc(x, top + height / 2, 5, 0, 2 * Math.PI);
    context.fill();
    const text = momentOnTape(n * step, step);
    if (x + 12 + context.measureText(text).width > right) continue;
    context.fillStyle = colours.ink;
    context.fillText(text, x + 10, top + height / 2 + 1);
  }
}

/** Names of the bands in the left edge. */
export function paintNames(painting: Painting): void {
  const { context, lanes, colours } = painting;
  context.font = fonts.small;
  context.textAlign = "right";
  context.textBaseline = "middle";
  context.fillStyle = colours.quiet;
  const name = (text: string, y: number): void => context.fillText(text, lanes.left - 8, y);
  if (lanes.left > 70) name("blocks", lanes.blocks.top + lanes.blocks.height / 2);
}

/** Parts of the band that lie behind the beginning or the end of what has been recorded. */
export function paintEnds(painting: Painting): void {
  const { context, lanes, colours, take } = painting;
  const end = pixelOf(painting, take.samples / take.sampleRateHz);
  if (end >= lanes.left + lanes.width) return;
  within(painting, { top: lanes.blocks.top, height: lanes.speed.top + lanes.speed.height }, () => {
    context.fillStyle = colours.edge;
    context.fillRect(end, lanes.blocks.top, lanes.width, lanes.speed.top + lanes.speed.height);
  });
}
