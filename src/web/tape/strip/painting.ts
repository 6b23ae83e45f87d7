import type { Take } from "../work/desk.js";
import type { Reading } from "../work/reading.js";
import type { SampleWindow } from "../work/sample-windows.js";
import type { Lane, Lanes } from "./lanes.js";
import type { StripView } from "./strip-view.js";

/** Colours of the strip, as the style sheet names them. */
export interface StripColours {
  readonly paper: string;
  readonly edge: string;
  readonly grid: string;
  readonly ink: string;
  readonly quiet: string;
  readonly trace: string;
  readonly tint: string;
  readonly block: string;
  readonly blockInk: string;
  readonly doubt: string;
  readonly doubtInk: string;
  readonly accent: string;
  readonly hole: string;
}

/** How values of bytes are written. */
export type ByteNotation = "hex" | "decimal" | "text";

/** All that a picture of the strip is made of. */
export interface Painting {
  readonly context: CanvasRenderingContext2D;
  readonly lanes: Lanes;
  readonly view: StripView;
  readonly colours: StripColours;
  readonly take: Take;
  readonly channel: number;
  readonly reading: Reading | null;
  /** Numbers of the doubtful bytes, in order. */
  readonly doubts: readonly number[];
  readonly window: SampleWindow | undefined;
  readonly notation: ByteNotation;
  /** Number of the byte that is picked out; -1 if none. */
  readonly picked: number;
  /** Lengths of one cycle that the scheme expects, in seconds. */
  readonly expected: readonly number[];
}

/** Fonts of the strip. */
export const fonts = {
  small: '600 13px "Atkinson Hyperlegible Mono Variable", monospace',
  bit: '600 12px "Atkinson Hyperlegible Mono Variable", monospace',
  byte: '700 15px "Atkinson Hyperlegible Mono Variable", monospace',
  words: '600 14px "Atkinson Hyperlegible Next Variable", sans-serif',
} as const;

/** Reads the colours the style sheet gives the strip. */
export function readStripColours(element: Element): StripColours {
  const style = getComputedStyle(element);
  const read = (name: string): string => style.getPropertyValue(`--strip-${name}`).trim();
  return {
    paper: read("paper"),
    edge: read("edge"),
    grid: read("grid"),
    ink: read("ink"),
    quiet: read("quiet"),
    trace: read("trace"),
    tint: read("tint"),
    block: read("block"),
    blockInk: read("block-ink"),
    doubt: read("doubt"),
    doubtInk: read("doubt-ink"),
    accent: read("accent"),
    hole: read("hole"),
  };
}

/** Pixel of a moment of the recording. */
export function pixelOf({ lanes, view }: Painting, seconds: number): number {
  return lanes.left + (seconds - view.startSeconds) / view.secondsPerPixel;
}

/** Lets `paint` paint inside a band only, between the edges. */
export function within({ context, lanes }: Painting, lane: Lane, paint: () => void): void {
  context.save();
  context.beginPath();
  context.rect(lanes.left, lane.top, lanes.width, lane.height);
  context.clip();
  paint();
  context.restore();
}

/** A byte in few letters. */
export function byteText(value: number, notation: ByteNotation): string {
  if (notation === "decimal") return String(value);
  if (notation === "text" && value >= 0x20 && value < 0x7f) return String.fromCharCode(value);
  return value.toString(16).toUpperCase().padStart(2, "0");
}

/** Slanted lines over a box: the sign of doubt, which does not hang on colour. */
export function hatch(
  context: CanvasRenderingContext2D,
  box: { x: number; y: number; width: number; height: number },
  colour: string,
): void {
  context.save();
  context.beginPath();
  context.rect(box.x, box.y, box.width, box.height);
  context.clip();
  context.strokeStyle = colour;
  context.lineWidth = 1.5;
  context.beginPath();
  for (let x = box.x - box.height; x < box.x + box.width; x += 6) {
    context.moveTo(x, box.y + box.height);
    context.lineTo(x + box.height, box.y);
  }
  context.stroke();
  context.restore();
}
