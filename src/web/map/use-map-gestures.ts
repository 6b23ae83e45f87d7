import { useEffect } from "react";
import type { MapCanvas } from "./use-map-canvas.js";
import { panBy, zoomAt } from "./view.js";

// A finger that moves less than this is a tap.
const tapPixels = 8;

/** Lets pointers pan, pinch and zoom a map; `onTap` gets taps in CSS pixels of the canvas. */
export function useMapGestures(
  map: MapCanvas,
  onTap: (at: { x: number; y: number }, byTouch: boolean) => void,
): void {
  useEffect(() => {
    const element = map.canvas.current;
    if (element === null) return;
    const pointers = new Map<number, { x: number; y: number }>();
    let travelled = 0;

    const placeOf = (event: { clientX: number; clientY: number }) => {
      const box = element.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    };
    const down = (event: PointerEvent): void => {
      if (event.button !== 0) return;
      element.setPointerCapture(event.pointerId);
      if (pointers.size === 0) travelled = 0;
      pointers.set(event.pointerId, placeOf(event));
    };
    const move = (event: PointerEvent): void => {
      const before = pointers.get(event.pointerId);
      const view = map.view();
      if (before === undefined || view === undefined) return;
      const now = placeOf(event);
      pointers.set(event.pointerId, now);
      travelled += Math.hypot(now.x - before.x, now.y - before.y);
      const other = [...pointers].find(([id]) => id !== event.pointerId)?.[1];
      if (other === undefined) {
        if (travelled > tapPixels) map.setView(panBy(view, now.x - before.x, now.y - before.y));
        return;
      }
      const distanceBefore = Math.hypot(before.x - other.x, before.y - other.y);
      const distanceNow = Math.hypot(now.x - other.x, now.y - other.y);
      const middle = { x: (now.x + other.x) / 2, y: (now.y + other.y) / 2 };
      const panned = panBy(view, (now.x - before.x) / 2, (now.y - before.y) / 2);
      map.setView(distanceBefore > 4 ? zoomAt(panned, distanceNow / distanceBefore, middle) : panned);
    };
    const up = (event: PointerEvent): void => {
      const at = pointers.get(event.pointerId);
      pointers.delete(event.pointerId);
      if (at !== undefined && event.type === "pointerup" && pointers.size === 0 && travelled <= tapPixels) {
        onTap(at, event.pointerType === "touch");
      }
    };
    const wheel = (event: WheelEvent): void => {
      const view = map.view();
      if (view === undefined) return;
      event.preventDefault();
      const lines = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1;
      map.setView(zoomAt(view, Math.exp((-event.deltaY * lines) / 400), placeOf(event)));
    };
    element.addEventListener("pointerdown", down);
    element.addEventListener("pointermove", move);
    element.addEventListener("pointerup", up);
    element.addEventListener("pointercancel", up);
    element.addEventListener("wheel", wheel, { passive: false });
    return () => {
      element.removeEventListener("pointerdown", down);
      element.removeEventListener("pointermove", move);
      element.removeEventListener("pointerup", up);
      element.removeEventListener("pointercancel", up);
      element.removeEventListener("wheel", wheel);
    };
  }, [map, onTap]);
}
