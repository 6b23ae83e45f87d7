import { type RefObject, useEffect, useRef } from "react";
import { themeChoice } from "../../state/keepsakes.js";
import { tapeDesk } from "../work/desk.js";
import { type Lanes, layLanes } from "./lanes.js";
import { paintIntervals, paintSpeed } from "./paint-curves.js";
import { paintEnds, paintFrame, paintNames } from "./paint-frame.js";
import { paintGrounds, paintMarks } from "./paint-marks.js";
import { paintSignal } from "./paint-signal.js";
import { type Painting, readStripColours, type StripColours } from "./painting.js";
import type { StripControl } from "./strip-control.js";

/** What the strip shows, without how it is looked at. */
export type StripContent = Pick<
  Painting,
  "take" | "channel" | "reading" | "doubts" | "notation" | "picked" | "expected"
>;

/** Samples a pixel below which the samples themselves are drawn. */
const closeSamples = 96;

/** A painted strip. */
export interface StripCanvas {
  readonly canvas: RefObject<HTMLCanvasElement | null>;
  readonly lanes: () => Lanes;
}

/** Keeps the canvas painted when its size, the content, the theme or the view change, once a frame at most. */
export function useStripCanvas(control: StripControl, content: StripContent): StripCanvas {
  const canvas = useRef<HTMLCanvasElement | null>(null);
  const latest = useRef(content);
  const lanes = useRef<Lanes>(layLanes(800, 400));
  const repaint = useRef<() => void>(() => undefined);
  latest.current = content;

  useEffect(() => {
    const element = canvas.current;
    const context = element?.getContext("2d", { alpha: false });
    if (element === null || !context) return;
    const { windows } = tapeDesk();
    let frame = 0;
    let colours: StripColours | undefined;

    const paint = (): void => {
      frame = 0;
      colours ??= readStripColours(element);
      const { take, channel } = latest.current;
      const view = control.get();
      const perPixel = view.secondsPerPixel * take.sampleRateHz;
      const from = view.startSeconds * take.sampleRateHz;
      const isClose = perPixel < closeSamples && take.samples > 0;
      const painting: Painting = {
        ...latest.current,
        context,
        lanes: lanes.current,
        view,
        colours,
        window: isClose
          ? windows.over(
              take.number,
              channel,
              Math.max(0, from - 4096),
              Math.min(take.samples, from + perPixel * lanes.current.width + 400),
            )
          : undefined,
      };
      context.setTransform(devicePixelRatio, 0, 0, devicePixelRatio, 0, 0);
      paintFrame(painting);
      paintGrounds(painting);
      paintSignal(painting);
      paintMarks(painting);
      paintIntervals(painting);
      paintSpeed(painting);
      paintNames(painting);
      paintEnds(painting);
    };
    repaint.current = () => {
      if (frame === 0) frame = requestAnimationFrame(paint);
    };
    const resize = new ResizeObserver(() => {
      const { clientWidth: width, clientHeight: height } = element;
      if (width === 0 || height === 0) return;
      element.width = Math.round(width * devicePixelRatio);
      element.height = Math.round(height * devicePixelRatio);
      lanes.current = layLanes(width, height);
      control.setExtent({ ...control.reach, width: lanes.current.width });
      repaint.current();
    });
    resize.observe(element);
    const recolour = (): void => {
      colours = undefined;
      repaint.current();
    };
    const scheme = matchMedia("(prefers-color-scheme: dark)");
    scheme.addEventListener("change", recolour);
    const forget = [
      themeChoice.subscribe(recolour),
      control.subscribe(() => repaint.current()),
      windows.subscribe(() => repaint.current()),
    ];
    void document.fonts.ready.then(recolour);
    return () => {
      resize.disconnect();
      scheme.removeEventListener("change", recolour);
      for (const stop of forget) stop();
      cancelAnimationFrame(frame);
    };
  }, [control]);

  const { take } = content;
  const seconds = take.sampleRateHz === 0 ? 0 : take.samples / take.sampleRateHz;
  useEffect(() => control.setExtent({ ...control.reach, seconds }), [control, seconds]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: a change of what is shown is what asks for a repaint
  useEffect(() => repaint.current(), [content]);
  return { canvas, lanes: () => lanes.current };
}
