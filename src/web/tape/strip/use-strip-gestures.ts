import { useEffect, useRef } from "react";
import { laneAt } from "./lanes.js";
import type { StripControl } from "./strip-control.js";
import { zoomStrip } from "./strip-view.js";
import type { StripCanvas } from "./use-strip-canvas.js";

// A finger that moves less than this is a tap.
const tapPixels = 8;

/** Lets pointers and the wheel move the strip; the overview at its top leads to wherever it is touched. */
export function useStripGestures(
  strip: StripCanvas,
  control: StripControl,
  onTap: (seconds: number, lane: string | undefined) => void,
): void {
  const latest = useRef(onTap);
  latest.current = onTap;
  const { canvas } = strip;
  const lanesOf = useRef(strip.lanes);
  lanesOf.current = strip.lanes;

  useEffect(() => {
    const element = canvas.current;
    if (element === null) return;
    const pointers = new Map<number, { x: number; y: number }>();
    let travelled = 0;
    let onOverview = false;

    const placeOf = (event: { clientX: number; clientY: number }): { x: number; y: number } => {
      const box = element.getBoundingClientRect();
      return { x: event.clientX - box.left - lanesOf.current().left, y: event.clientY - box.top };
    };
    const jump = (x: number): void => {
      const { seconds, width } = control.reach;
      const { secondsPerPixel } = control.get();
      control.set({
        secondsPerPixel,
        startSeconds: (x / width) * seconds - (secondsPerPixel * width) / 2,
      });
    };
    const down = (event: PointerEvent): void => {
      if (event.button !== 0) return;
      element.setPointerCapture(event.pointerId);
      const at = placeOf(event);
      if (pointers.size === 0) {
        travelled = 0;
        onOverview = laneAt(lanesOf.current(), at.y) === "overview";
        if (onOverview) jump(at.x);
      }
      pointers.set(event.pointerId, at);
    };
    const move = (event: PointerEvent): void => {
      const before = pointers.get(event.pointerId);
      if (before === undefined) return;
      const now = placeOf(event);
      pointers.set(event.pointerId, now);
      travelled += Math.hypot(now.x - before.x, now.y - before.y);
      if (onOverview) {
        jump(now.x);
        return;
      }
      const other = [...pointers].find(([id]) => id !== event.pointerId)?.[1];
      if (other === undefined) {
        if (travelled > tapPixels) control.move(before.x - now.x);
        return;
      }
      const apart = Math.max(12, Math.abs(now.x - other.x)) / Math.max(12, Math.abs(before.x - other.x));
      const middle = (now.x + other.x) / 2;
      control.move((before.x - now.x) / 2);
      control.set(zoomStrip(control.get(), apart, middle, control.reach));
    };
    const up = (event: PointerEvent): void => {
      const at = pointers.get(event.pointerId);
      pointers.delete(event.pointerId);
      const isTap =
        event.type === "pointerup" && pointers.size === 0 && travelled <= tapPixels && !onOverview;
      if (at === undefined || !isTap) return;
      const { startSeconds, secondsPerPixel } = control.get();
      latest.current(startSeconds + at.x * secondsPerPixel, laneAt(lanesOf.current(), at.y));
    };
    const wheel = (event: WheelEvent): void => {
      event.preventDefault();
      const pixels = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1;
      if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
        control.move((event.deltaX + (event.shiftKey ? event.deltaY : 0)) * pixels);
      } else control.zoom(Math.exp((-event.deltaY * pixels) / 300), placeOf(event).x);
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
  }, [canvas, control]);
}
