import { createStore, type Store } from "../../state/store.js";
import type { StripExtent, StripView } from "./strip-view.js";
import { frameStretch, keepOnTape, moveStrip, wholeStrip, zoomStrip } from "./strip-view.js";

/** Milliseconds after which a moving view is told to the rest of the page. */
const settleMilliseconds = 120;

/** The view of the strip and what moves it. It lives outside React: moving repaints the canvas and nothing else. */
export class StripControl {
  /** The view once it stands still, for what is written beside the strip. */
  readonly settled: Store<StripView>;
  private view: StripView = { startSeconds: 0, secondsPerPixel: 1 };
  private extent: StripExtent = { seconds: 0, width: 1 };
  private isWhole = true;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private readonly listeners = new Set<() => void>();

  constructor() {
    this.settled = createStore(this.view);
  }

  get(): StripView {
    return this.view;
  }

  get reach(): StripExtent {
    return this.extent;
  }

  /** Called on every change of the view. */
  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Tells what the strip lies over; a view of the whole stays one. */
  setExtent(extent: StripExtent): void {
    const isNew = this.extent.seconds !== extent.seconds || this.extent.width !== extent.width;
    if (!isNew) return;
    this.extent = extent;
    this.set(this.isWhole ? wholeStrip(extent) : this.view);
  }

  set(view: StripView): void {
    this.view = keepOnTape(view, this.extent);
    this.isWhole = this.view.secondsPerPixel >= wholeStrip(this.extent).secondsPerPixel * 0.999;
    for (const listener of this.listeners) listener();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.settled.set(this.view), settleMilliseconds);
  }

  showWhole(): void {
    this.set(wholeStrip(this.extent));
  }

  /** Zooms round a pixel, the middle if none is named. */
  zoom(factor: number, x = this.extent.width / 2): void {
    this.set(zoomStrip(this.view, factor, x, this.extent));
  }

  move(pixels: number): void {
    this.set(moveStrip(this.view, pixels, this.extent));
  }

  /** Brings a stretch into the middle. */
  frame(from: number, to: number, share?: number): void {
    this.set(frameStretch(from, to, this.extent, share));
  }
}
