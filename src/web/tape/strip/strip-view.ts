/** What of a recording the strip shows. */
export interface StripView {
  readonly startSeconds: number;
  readonly secondsPerPixel: number;
}

/** The recording under the strip, and the width of the strip in CSS pixels. */
export interface StripExtent {
  readonly seconds: number;
  readonly width: number;
}

/** Closest look: two microseconds a pixel, where a cycle of 2400 Hz is 200 pixels wide. */
const least = 2e-6;

/** The whole recording. */
export function wholeStrip({ seconds, width }: StripExtent): StripView {
  return { startSeconds: 0, secondsPerPixel: Math.max(least, seconds / Math.max(1, width)) };
}

/** The view kept within the recording. */
export function keepOnTape(view: StripView, extent: StripExtent): StripView {
  const whole = wholeStrip(extent);
  const secondsPerPixel = Math.min(Math.max(view.secondsPerPixel, least), whole.secondsPerPixel);
  const last = Math.max(0, extent.seconds - secondsPerPixel * extent.width);
  return { secondsPerPixel, startSeconds: Math.min(Math.max(view.startSeconds, 0), last) };
}

/** The view after zooming by `factor` (2: twice as close) round the pixel `x`, which stays where it is. */
export function zoomStrip(view: StripView, factor: number, x: number, extent: StripExtent): StripView {
  const at = view.startSeconds + x * view.secondsPerPixel;
  const limit = wholeStrip(extent).secondsPerPixel;
  const secondsPerPixel = Math.min(Math.max(view.secondsPerPixel / factor, least), limit);
  return keepOnTape({ secondsPerPixel, startSeconds: at - x * secondsPerPixel }, extent);
}

/** The view moved by so many pixels; a positive number shows what comes later. */
export function moveStrip(view: StripView, pixels: number, extent: StripExtent): StripView {
  return keepOnTape({ ...view, startSeconds: view.startSeconds + pixels * view.secondsPerPixel }, extent);
}

/** The view in which a stretch fills the share `share` of the strip, in its middle. */
export function frameStretch(from: number, to: number, extent: StripExtent, share = 0.8): StripView {
  const secondsPerPixel = Math.max(least, (to - from) / (share * Math.max(1, extent.width)));
  const middle = (from + to) / 2;
  return keepOnTape({ secondsPerPixel, startSeconds: middle - (secondsPerPixel * extent.width) / 2 }, extent);
}

/** Distance of the marks of a ruler in seconds, so that they are at least `pixels` apart: 1, 2, 5 or clock steps. */
export function rulerStep(secondsPerPixel: number, pixels: number): number {
  const wanted = secondsPerPixel * pixels;
  if (wanted > 5) return clockSteps.find((step) => step >= wanted) ?? 3600;
  const power = 10 ** Math.floor(Math.log10(wanted));
  return ([1, 2, 5, 10].find((step) => step * power >= wanted * 0.999_999) ?? 10) * power;
}

const clockSteps = [10, 15, 30, 60, 120, 300, 600, 900, 1800];

/** A moment of the recording, as exact as a step of `step` seconds needs: `12:05`, `12:05.3`, `1:12:05.250 4`. */
export function momentOnTape(seconds: number, step: number): string {
  const digits = step >= 1 ? 0 : Math.min(6, Math.ceil(-Math.log10(step) - 1e-9));
  const unit = 10 ** digits;
  const ticks = Math.round(seconds * unit);
  const whole = Math.floor(ticks / unit);
  const two = (value: number): string => String(value).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const clock = `${hours > 0 ? `${hours}:${two(Math.floor(whole / 60) % 60)}` : Math.floor(whole / 60)}:${two(whole % 60)}`;
  if (digits === 0) return clock;
  const rest = String(ticks % unit).padStart(digits, "0");
  return `${clock}.${digits > 3 ? `${rest.slice(0, 3)} ${rest.slice(3)}` : rest}`;
}
