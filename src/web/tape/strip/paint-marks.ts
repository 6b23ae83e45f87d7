import { bitAt, bitBounds, byteAt, type CheckResult, type ReadBlock, type Reading } from "../work/reading.js";
import { traceMargins } from "./paint-signal.js";
import { byteText, fonts, hatch, type Painting, pixelOf, within } from "./painting.js";

/** Pixels a byte needs for its value, and a bit for its figure. */
const byteRoom = 21;
const bitRoom = 11;
const bandRoom = 5;

const signs: Readonly<Record<CheckResult, string>> = {
  right: "✓",
  wrong: "✗",
  repaired: "✓ repaired",
  cut: "✗ cut off",
  none: "no check",
};

/** Grounds of bytes and doubts, painted before the trace. */
export function paintGrounds(painting: Painting): void {
  const { context, lanes, colours, reading, doubts, picked } = painting;
  if (reading === null) return;
  const { top, height } = lanes.signal;
  within(painting, lanes.signal, () => {
    if (typicalWidth(painting, reading) >= bandRoom) {
      eachByte(painting, reading, (byte, x, width) => {
        if (reading.doubtful[byte] === 1) {
          context.fillStyle = colours.doubt;
          context.fillRect(x, top, width, height);
          const edge = traceMargins.top;
          hatch(context, { x, y: top, width, height: edge }, colours.doubtInk);
          context.globalAlpha = 0.3;
          hatch(context, { x, y: top + edge, width, height: height - edge }, colours.doubtInk);
          context.globalAlpha = 1;
        } else if (byte % 2 === 0) {
          context.fillStyle = colours.tint;
          context.fillRect(x, top, width, height);
        }
        if (byte !== picked) return;
        context.fillStyle = colours.accent;
        context.fillRect(x, top, width, 4);
        context.fillRect(x, top + height - 4, width, 4);
      });
      return;
    }
    for (const doubt of doubts) {
      const x = pixelOf(painting, reading.startSeconds[doubt] ?? 0);
      if (x < lanes.left - 2 || x > lanes.left + lanes.width + 2) continue;
      context.fillStyle = colours.doubtInk;
      context.fillRect(Math.round(x) - 1, top + 10, 2, height - 10);
      context.beginPath();
      context.moveTo(x - 6, top);
      context.lineTo(x + 6, top);
      context.lineTo(x, top + 11);
      context.fill();
    }
  });
}

/** Blocks as bars in their band, bounds across the signal, bytes and bits on it. */
export function paintMarks(painting: Painting): void {
  const { reading } = painting;
  if (reading === null) return;
  paintBlocks(painting, reading);
  within(painting, painting.lanes.signal, () => paintBytes(painting, reading));
}

function paintBlocks(painting: Painting, reading: Reading): void {
  const { context, lanes, colours } = painting;
  const { top, height } = lanes.blocks;
  within(painting, { top, height: lanes.signal.top + lanes.signal.height - top }, () => {
    context.font = fonts.words;
    context.textBaseline = "middle";
    context.textAlign = "left";
    for (const [number, block] of reading.blocks.entries()) {
      const x = pixelOf(painting, block.startSeconds);
      const end = pixelOf(painting, block.endSeconds);
      if (end < lanes.left || x > lanes.left + lanes.width) continue;
      const width = Math.max(3, end - x);
      context.fillStyle = colours.block;
      context.beginPath();
      context.roundRect(x, top + 3, width, height - 6, 4);
      context.fill();
      if (block.check === "wrong" || block.check === "cut")
        hatch(context, { x, y: top + 3, width, height: height - 6 }, colours.blockInk);
      context.strokeStyle = colours.ink;
      context.setLineDash([5, 4]);
      context.lineWidth = 1.5;
      context.beginPath();
      for (const bound of [x, end]) {
        context.moveTo(bound, top + height);
        context.lineTo(bound, lanes.signal.top + lanes.signal.height);
      }
      context.stroke();
      context.setLineDash([]);
      const left = Math.max(x, lanes.left) + 8;
      const room = Math.min(end, lanes.left + lanes.width) - left - 6;
      const bytes = block.to - block.from;
      const texts = [
        `Block ${number + 1}  ·  ${bytes} bytes  ·  ${signs[block.check]}${fieldText(block)}`,
        `Block ${number + 1}  ${signs[block.check]}`,
        `${number + 1}`,
      ];
      const text = texts.find((words) => context.measureText(words).width <= room);
      if (text === undefined) continue;
      if (block.check === "wrong" || block.check === "cut") {
        context.fillStyle = colours.block;
        context.fillRect(left - 4, top + 5, context.measureText(text).width + 8, height - 10);
      }
      context.fillStyle = colours.blockInk;
      context.fillText(text, left, top + height / 2 + 1);
    }
  });
}

function fieldText({ fields }: ReadBlock): string {
  return fields
    .map(({ name, value }) => `  ·  ${name} ${value.toString(16).toUpperCase().padStart(4, "0")}`)
    .join("");
}

function paintBytes(painting: Painting, reading: Reading): void {
  const width = typicalWidth(painting, reading);
  if (width < byteRoom) return;
  const { context, lanes, colours, notation } = painting;
  const { top } = lanes.signal;
  context.textBaseline = "middle";
  eachByte(painting, reading, (byte, x, own) => {
    context.fillStyle = colours.ink;
    context.font = fonts.byte;
    context.textAlign = "center";
    const value = reading.bytes[byte] ?? 0;
    // A byte wider than the window keeps its value in sight.
    const from = Math.max(x, lanes.left);
    const to = Math.min(x + own, lanes.left + lanes.width);
    const centre = to - from > 30 ? (from + to) / 2 : x + own / 2;
    const isDoubtful = reading.doubtful[byte] === 1;
    let text = byteText(value, notation);
    if (own > 110) text = fullText(reading, byte, notation);
    else if (isDoubtful && own > 32) text = `${text}?`;
    if (isDoubtful) {
      const half = context.measureText(text).width / 2 + 4;
      context.fillStyle = colours.paper;
      context.fillRect(centre - half, top + 5, 2 * half, 20);
      context.fillStyle = colours.ink;
    }
    context.fillText(text, centre, top + 16);
    context.fillStyle = colours.quiet;
    context.fillRect(x, top, 1, 26);
    if (own / reading.pattern.length >= bitRoom) paintBits(painting, reading, byte, x, own);
  });
}

function fullText(reading: Reading, byte: number, notation: ByteNotation): string {
  const value = reading.bytes[byte] ?? 0;
  const main = byteText(value, notation);
  const letter =
    notation !== "text" && value >= 0x20 && value < 0x7f ? ` '${String.fromCharCode(value)}'` : "";
  const other = reading.other[byte] ?? -1;
  if (reading.doubtful[byte] !== 1) return `${main}${letter}`;
  if (other < 0) return `${main}${letter} ?`;
  const chance = Math.round(100 * (reading.otherChance[byte] ?? 0));
  return `${main}${letter} or ${byteText(other, notation)}${chance > 0 ? ` ${chance} %` : ""}`;
}

type ByteNotation = Painting["notation"];

function paintBits(painting: Painting, reading: Reading, byte: number, x: number, width: number): void {
  const { context, lanes, colours } = painting;
  const { top, height } = lanes.signal;
  const { pattern } = reading;
  const bottom = top + height;
  const bounds = bitBounds(reading, byte);
  context.font = fonts.bit;
  context.textAlign = "center";
  for (const [k, place] of pattern.entries()) {
    const left = x + width * (bounds[k] ?? 0);
    const step = width * ((bounds[k + 1] ?? 1) - (bounds[k] ?? 0));
    context.fillStyle = colours.grid;
    context.fillRect(left, top + traceMargins.top, 1, height - traceMargins.top);
    context.fillStyle = place < 0 ? colours.ink : colours.quiet;
    context.fillText(String(bitAt(reading, byte, k)), left + step / 2, bottom - 11);
    if (place < 0) continue;
    // Bits of the frame are set apart from those of the byte.
    context.fillRect(left + step * 0.25, bottom - 3, step * 0.5, 1.5);
  }
}

/** Width in pixels of a byte in view. */
function typicalWidth({ view, lanes }: Painting, reading: Reading): number {
  const middle = byteAt(reading, view.startSeconds + (view.secondsPerPixel * lanes.width) / 2);
  const byte = Math.min(Math.max(0, middle), reading.bytes.length - 1);
  const seconds = (reading.endSeconds[byte] ?? 0) - (reading.startSeconds[byte] ?? 0);
  return seconds / view.secondsPerPixel;
}

function eachByte(
  painting: Painting,
  reading: Reading,
  act: (byte: number, x: number, width: number) => void,
): void {
  const { view, lanes } = painting;
  const end = view.startSeconds + view.secondsPerPixel * lanes.width;
  for (let byte = Math.max(0, byteAt(reading, view.startSeconds)); byte < reading.bytes.length; byte += 1) {
    const start = reading.startSeconds[byte] ?? 0;
    if (start > end) return;
    const x = pixelOf(painting, start);
    act(byte, x, pixelOf(painting, reading.endSeconds[byte] ?? start) - x);
  }
}
