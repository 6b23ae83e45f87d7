import type { MapPart, MapPin } from "./board-map.js";
import { element, escapeText } from "./svg.js";

/** One level of a pinout: the pins that stand across from each other. */
export interface PinoutRow {
  readonly left: MapPin | null;
  readonly right: MapPin | null;
}

/**
 * The pins of a part as they stand on it, seen from above, pin 1 at the top left. Dual-in-line packages have their pins
 * on both sides, down the left and up the right; all other parts have them in one row, listed down the left.
 */
export function pinoutRows(part: MapPart): PinoutRow[] {
  const { pins } = part;
  if (part.shape !== "chip") return pins.map((left) => ({ left, right: null }));
  const half = pins.length / 2;
  return pins.slice(0, half).map((left, i) => ({ left, right: pins[pins.length - 1 - i] ?? null }));
}

/** What stands beside a pin, by pin number. */
export type PinNotes = ReadonlyMap<string, string>;

const rowHeight = 22;
const bodyWidth = 150;
const sideWidth = 210;
const top = 44;

/**
 * A pinout as one SVG element: body with notch, pin numbers and names inside, line and note beside each pin. Colours
 * come from `currentColor`, so that it fits light and dark pages.
 */
export function renderPinout(part: MapPart, notes: PinNotes = new Map()): string {
  const rows = pinoutRows(part);
  const height = top + rows.length * rowHeight + 24;
  const isChip = part.shape === "chip";
  const width = isChip ? 2 * sideWidth + bodyWidth : sideWidth + bodyWidth;
  const left = isChip ? sideWidth : 0;
  const right = left + bodyWidth;
  const frame = { fill: "none", stroke: "currentColor", "stroke-width": 2 };
  const body = element("rect", {
    x: left,
    y: top - 8,
    width: bodyWidth,
    height: rows.length * rowHeight + 16,
    rx: 4,
    ...frame,
  });
  const middle = left + bodyWidth / 2;
  const notch = isChip ? element("path", { d: `M${middle - 10} ${top - 8}a10 10 0 0 0 20 0`, ...frame }) : "";
  const label = words(middle, 22, `${part.ref}  ${part.type}`, "middle", 700);
  const pins = rows.flatMap((row, i) => {
    const y = top + (i + 0.5) * rowHeight + 5;
    const drawn: string[] = [];
    if (row.left !== null) {
      drawn.push(words(left + 8, y, `${row.left.pin} ${row.left.name}`, "start"));
      if (isChip) drawn.push(words(left - 8, y, besides(row.left, notes), "end"));
      else drawn.push(words(right + 8, y, besides(row.left, notes), "start"));
    }
    if (row.right !== null) {
      drawn.push(words(right - 8, y, `${row.right.name} ${row.right.pin}`, "end"));
      drawn.push(words(right + 8, y, besides(row.right, notes), "start"));
    }
    return drawn;
  });
  const title = element("title", {}, escapeText(`Pinout of ${part.ref}, ${part.type}`));
  return element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      viewBox: `0 0 ${width} ${height}`,
      role: "img",
      "font-family": "sans-serif",
      "font-size": 13,
    },
    [title, label, body, notch, ...pins].join("\n"),
  );
}

function besides(pin: MapPin, notes: PinNotes): string {
  const note = notes.get(pin.pin);
  return [pin.net ?? "open", note].filter((word) => word !== undefined).join(" · ");
}

function words(
  x: number,
  y: number,
  text: string,
  anchor: "start" | "middle" | "end",
  weight?: number,
): string {
  return element(
    "text",
    { x, y, "text-anchor": anchor, "font-weight": weight, fill: "currentColor" },
    escapeText(text.trim()),
  );
}
