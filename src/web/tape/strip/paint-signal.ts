import type { Painting } from "./painting.js";
import { fonts, pixelOf, within } from "./painting.js";

/** A sample at or above this is drawn as clipped. */
const clippingLevel = 0.985;
/** Room above and below the trace for bytes and bits. */
export const traceMargins = { top: 28, bottom: 24 } as const;

/** The trace of the signal: whole ranges from afar, a line through the samples from close up. */
export function paintSignal(painting: Painting): void {
  const { context, lanes, colours, take, channel, view } = painting;
  const { top, height } = lanes.signal;
  const pyramid = take.pyramids[channel];
  const range = { low: 0, high: 0 };
  const middle = top + traceMargins.top + (height - traceMargins.top - traceMargins.bottom) / 2;
  context.strokeStyle = colours.grid;
  context.lineWidth = 1;
  context.beginPath();
  context.moveTo(lanes.left, Math.round(middle) + 0.5);
  context.lineTo(lanes.left + lanes.width, Math.round(middle) + 0.5);
  context.stroke();
  if (pyramid === undefined || !pyramid.rangeOf(0, take.samples, range)) return;
  const peak = Math.max(1e-5, Math.abs(range.low), range.high);
  const scale = (height - traceMargins.top - traceMargins.bottom) / 2 / peak;
  within(painting, lanes.signal, () => {
    context.fillStyle = colours.trace;
    context.strokeStyle = colours.trace;
    const perPixel = view.secondsPerPixel * take.sampleRateHz;
    if (painting.window !== undefined && perPixel < 8) paintLine(painting, middle, scale);
    else paintRanges(painting, middle, scale);
  });
  context.font = fonts.small;
  context.textAlign = "right";
  context.textBaseline = "middle";
  context.fillStyle = colours.quiet;
  context.fillText(levelText(peak), lanes.left - 8, middle - scale * peak + 8);
  context.fillText("0", lanes.left - 8, middle);
}

function levelText(peak: number): string {
  const decibel = 20 * Math.log10(peak);
  return `${decibel < 0.05 && decibel > -0.05 ? "0" : decibel.toFixed(decibel > -10 ? 1 : 0).replace("-", "−")} dB`;
}

function paintRanges(painting: Painting, middle: number, scale: number): void {
  const { context, lanes, take, channel, view, window, colours } = painting;
  const pyramid = take.pyramids[channel];
  if (pyramid === undefined) return;
  const perPixel = view.secondsPerPixel * take.sampleRateHz;
  const first = view.startSeconds * take.sampleRateHz;
  const range = { low: 0, high: 0 };
  const clipped: number[] = [];
  for (let x = 0; x < lanes.width; x += 1) {
    const from = first + x * perPixel;
    const isThere =
      window === undefined
        ? pyramid.rangeOf(from, from + perPixel, range)
        : windowRange(window, from, from + perPixel, range);
    if (!isThere) continue;
    const high = middle - range.high * scale;
    context.fillRect(lanes.left + x, high - 0.5, 1, Math.max(1.2, (range.high - range.low) * scale));
    if (range.high >= clippingLevel || range.low <= -clippingLevel) clipped.push(lanes.left + x);
  }
  context.fillStyle = colours.accent;
  for (const x of clipped) context.fillRect(x, middle - scale * clippingLevel - 4, 1, 3);
}

function windowRange(
  { from: first, samples }: { readonly from: number; readonly samples: Float32Array },
  from: number,
  to: number,
  range: { low: number; high: number },
): boolean {
  range.low = Number.POSITIVE_INFINITY;
  range.high = Number.NEGATIVE_INFINITY;
  // One sample more on the left, so that columns hang together.
  const start = Math.max(0, Math.floor(from) - first - 1);
  const end = Math.min(samples.length, Math.ceil(to) - first);
  for (let i = start; i < end; i += 1) {
    const value = samples[i] ?? 0;
    if (value < range.low) range.low = value;
    if (value > range.high) range.high = value;
  }
  return range.low <= range.high;
}

function paintLine(painting: Painting, middle: number, scale: number): void {
  const { context, lanes, take, view, window } = painting;
  if (window === undefined) return;
  const rate = take.sampleRateHz;
  const start = Math.max(0, Math.floor(view.startSeconds * rate) - 1 - window.from);
  const last = view.startSeconds + lanes.width * view.secondsPerPixel;
  const end = Math.min(window.samples.length - 1, Math.ceil(last * rate) + 1 - window.from);
  context.lineWidth = 2;
  context.lineJoin = "round";
  context.beginPath();
  for (let i = start; i <= end; i += 1) {
    const x = pixelOf(painting, (window.from + i) / rate);
    const y = middle - (window.samples[i] ?? 0) * scale;
    if (i === start) context.moveTo(x, y);
    else context.lineTo(x, y);
  }
  context.stroke();
  const apart = 1 / (rate * view.secondsPerPixel);
  if (apart < 9) return;
  for (let i = start; i <= end; i += 1) {
    const x = pixelOf(painting, (window.from + i) / rate);
    context.beginPath();
    context.arc(x, middle - (window.samples[i] ?? 0) * scale, 3, 0, 2 * Math.PI);
    context.fill();
  }
}
