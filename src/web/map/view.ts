import type { Box } from "../../core/draw/footprint.js";

/** How the board lies under the window: `left`, `top` are the millimetres at the window's top left corner. */
export interface MapView {
  readonly left: number;
  readonly top: number;
  readonly pixelPerMillimetre: number;
}

/** Size of the window in CSS pixels. */
export interface WindowSize {
  readonly width: number;
  readonly height: number;
}

const least = 0.5;
const most = 40;

/** The view in which a box just fits into the window, centred. */
export function fitBox(box: Box, size: WindowSize): MapView {
  const scale = clampScale(Math.min(size.width / box.width, size.height / box.height));
  return {
    pixelPerMillimetre: scale,
    left: box.x + box.width / 2 - size.width / scale / 2,
    top: box.y + box.height / 2 - size.height / scale / 2,
  };
}

/** The view after zooming by `factor` round a point of the window that stays where it is. */
export function zoomAt(view: MapView, factor: number, at: { x: number; y: number }): MapView {
  const scale = clampScale(view.pixelPerMillimetre * factor);
  return {
    pixelPerMillimetre: scale,
    left: view.left + at.x / view.pixelPerMillimetre - at.x / scale,
    top: view.top + at.y / view.pixelPerMillimetre - at.y / scale,
  };
}

/** The view after dragging by so many pixels. */
export function panBy(view: MapView, dx: number, dy: number): MapView {
  const { pixelPerMillimetre: scale } = view;
  return { ...view, left: view.left - dx / scale, top: view.top - dy / scale };
}

/** The view with a point of the board in the middle of the window. */
export function centreOn(view: MapView, point: { x: number; y: number }, size: WindowSize): MapView {
  const { pixelPerMillimetre: scale } = view;
  return { ...view, left: point.x - size.width / scale / 2, top: point.y - size.height / scale / 2 };
}

/** The view moved so that at least a strip of `box` stays inside the window. */
export function keepInSight(view: MapView, box: Box, size: WindowSize): MapView {
  const { pixelPerMillimetre: scale } = view;
  const marginX = Math.min(size.width / scale, box.width) / 4;
  const marginY = Math.min(size.height / scale, box.height) / 4;
  return {
    ...view,
    left: clamp(view.left, box.x + marginX - size.width / scale, box.x + box.width - marginX),
    top: clamp(view.top, box.y + marginY - size.height / scale, box.y + box.height - marginY),
  };
}

/** Millimetres on the drawing under a point of the window. */
export function toBoard(view: MapView, at: { x: number; y: number }): { x: number; y: number } {
  return {
    x: view.left + at.x / view.pixelPerMillimetre,
    y: view.top + at.y / view.pixelPerMillimetre,
  };
}

function clampScale(scale: number): number {
  return clamp(scale, least, most);
}

function clamp(value: number, low: number, high: number): number {
  return Math.min(Math.max(value, Math.min(low, high)), Math.max(low, high));
}
