import { describe, expect, it } from "vitest";
import {
  frameStretch,
  keepOnTape,
  momentOnTape,
  moveStrip,
  rulerStep,
  wholeStrip,
  zoomStrip,
} from "./strip-view.js";

const extent = { seconds: 3600, width: 1000 };

describe("the view of the strip", () => {
  it("shows an hour at once, and goes no further out", () => {
    const whole = wholeStrip(extent);
    expect(whole).toEqual({ startSeconds: 0, secondsPerPixel: 3.6 });
    expect(zoomStrip(whole, 0.5, 300, extent)).toEqual(whole);
  });

  it("keeps what is under the pointer where it is, down to single cycles", () => {
    let view = wholeStrip(extent);
    const at = 700 * 3.6;
    for (let i = 0; i < 40; i += 1) {
      view = zoomStrip(view, 1.7, 700, extent);
      expect(view.startSeconds + 700 * view.secondsPerPixel).toBeCloseTo(at, 6);
    }
    expect(view.secondsPerPixel).toBe(2e-6);
  });

  it("does not leave the tape", () => {
    const close = { startSeconds: 100, secondsPerPixel: 0.1 };
    expect(moveStrip(close, -5000, extent).startSeconds).toBe(0);
    expect(moveStrip(close, 50_000, extent).startSeconds).toBe(3500);
    expect(keepOnTape({ startSeconds: 5, secondsPerPixel: 99 }, extent)).toEqual(wholeStrip(extent));
  });

  it("frames a stretch in its middle", () => {
    const view = frameStretch(100, 108, extent);
    expect(view.secondsPerPixel).toBeCloseTo(0.01, 9);
    expect(view.startSeconds).toBeCloseTo(99, 9);
  });
});

describe("the ruler", () => {
  it.each([
    [3.6, 100, 600],
    [0.36, 100, 60],
    [0.01, 100, 1],
    [0.012, 100, 2],
    [0.0004, 100, 0.05],
    [2e-6, 100, 2e-4],
  ])("at %d s a pixel has marks %d pixels apart or more: %d s", (perPixel, pixels, step) => {
    expect(rulerStep(perPixel, pixels)).toBeCloseTo(step, 12);
  });

  it.each([
    [725, 60, "12:05"],
    [725.3, 0.1, "12:05.3"],
    [4325.2504, 0.0002, "1:12:05.250 4"],
    [59.999_99, 0.01, "1:00.00"],
  ])("writes %d s, to %d s, as %s", (seconds, step, text) => {
    expect(momentOnTape(seconds, step)).toBe(text);
  });
});
