import { type RefObject, useCallback, useEffect, useRef } from "react";
import { themeChoice } from "../state/keepsakes.js";
import { BoardPicture } from "./board-picture.js";
import { paintMarks } from "./mark-painter.js";
import { type MapColours, type PhotoUnder, readColours } from "./painter.js";
import type { MapMarks, Scene } from "./scene.js";
import { fitBox, keepInSight, type MapView, type WindowSize } from "./view.js";

/** A canvas that shows a map. The view lives outside React: a pan repaints the canvas and nothing else. */
export interface MapCanvas {
  readonly canvas: RefObject<HTMLCanvasElement | null>;
  /** The view now, or undefined before the canvas has a size. */
  readonly view: () => MapView | undefined;
  readonly size: () => WindowSize;
  readonly setView: (next: MapView) => void;
  readonly showAll: () => void;
}

const pulseMilliseconds = 1400;
const pulses = 3;

/** Keeps a canvas painted: when its size, the scene, the marks, the photo, the theme or the view change, once a frame at most. */
export function useMapCanvas(scene: Scene, marks: MapMarks, photo: PhotoUnder | undefined): MapCanvas {
  const canvas = useRef<HTMLCanvasElement | null>(null);
  const view = useRef<MapView | undefined>(undefined);
  const size = useRef<WindowSize>({ width: 0, height: 0 });
  const latest = useRef({ scene, marks, photo });
  const colours = useRef<MapColours | undefined>(undefined);
  const picture = useRef<BoardPicture | undefined>(undefined);
  const frame = useRef(0);
  const pulseFrom = useRef(Number.NEGATIVE_INFINITY);
  latest.current = { scene, marks, photo };

  const paint = useCallback((now: number) => {
    frame.current = 0;
    const element = canvas.current;
    const context = element?.getContext("2d", { alpha: false });
    if (!element || !context || view.current === undefined) return;
    colours.current ??= readColours(element);
    const past = (now - pulseFrom.current) / pulseMilliseconds;
    const pulsing = past >= 0 && past < pulses;
    const painting = {
      view: view.current,
      size: size.current,
      deviceRatio: devicePixelRatio,
      colours: colours.current,
      photo: latest.current.photo,
    };
    picture.current ??= new BoardPicture();
    picture.current.show(context, latest.current.scene, painting);
    paintMarks(context, latest.current.scene, latest.current.marks, {
      ...painting,
      pulse: pulsing ? past % 1 : 1,
    });
    if (pulsing) frame.current = requestAnimationFrame(paint);
  }, []);

  const repaint = useCallback(() => {
    if (frame.current === 0) frame.current = requestAnimationFrame(paint);
  }, [paint]);

  const setView = useCallback(
    (next: MapView) => {
      view.current = keepInSight(next, latest.current.scene.extent, size.current);
      repaint();
    },
    [repaint],
  );

  const showAll = useCallback(() => setView(fitBox(latest.current.scene.extent, size.current)), [setView]);

  useEffect(() => {
    const element = canvas.current;
    if (element === null) return;
    const resize = new ResizeObserver(() => {
      const { clientWidth: width, clientHeight: height } = element;
      if (width === 0 || height === 0) return;
      const before = size.current;
      const wasFitted = view.current === undefined || isFitted(view.current, latest.current.scene, before);
      size.current = { width, height };
      element.width = Math.round(width * devicePixelRatio);
      element.height = Math.round(height * devicePixelRatio);
      if (wasFitted) showAll();
      else repaint();
    });
    resize.observe(element);
    const recolour = (): void => {
      colours.current = undefined;
      repaint();
    };
    const scheme = matchMedia("(prefers-color-scheme: dark)");
    scheme.addEventListener("change", recolour);
    const forget = themeChoice.subscribe(recolour);
    void document.fonts.ready.then(recolour);
    return () => {
      resize.disconnect();
      scheme.removeEventListener("change", recolour);
      forget();
      cancelAnimationFrame(frame.current);
      frame.current = 0;
    };
  }, [showAll, repaint]);

  const probeNames = marks.probes.map(({ ref, pin }) => `${ref}.${pin ?? ""}`).join(" ");
  useEffect(() => {
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (probeNames !== "" && !still) pulseFrom.current = performance.now();
    repaint();
  }, [probeNames, repaint]);

  // biome-ignore lint/correctness/useExhaustiveDependencies: a change of what is shown is what asks for a repaint
  useEffect(repaint, [scene, marks, photo, repaint]);

  return { canvas, view: () => view.current, size: () => size.current, setView, showAll };
}

function isFitted(view: MapView, scene: Scene, size: WindowSize): boolean {
  const fitted = fitBox(scene.extent, size);
  return Math.abs(fitted.pixelPerMillimetre - view.pixelPerMillimetre) < 0.001;
}
