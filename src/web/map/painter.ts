import type { Box } from "../../core/draw/footprint.js";
import type { Affine } from "../../core/draw/photo/register.js";
import { hatchSpacingMillimetre, percentText } from "../../core/draw/suspicion.js";
import type { Scene, ScenePart } from "./scene.js";
import type { MapView, WindowSize } from "./view.js";

/** Colours of the map, read from the page's tokens. */
export interface MapColours {
  readonly bench: string;
  readonly board: string;
  readonly edge: string;
  readonly part: string;
  readonly ink: string;
  readonly quiet: string;
  readonly pad: string;
  readonly probe: string;
  readonly chosen: string;
  readonly flagInk: string;
}

type Context = CanvasRenderingContext2D;

/** Type in which the map is lettered. */
export const labelFont = '"Atkinson Hyperlegible Next Variable", system-ui, sans-serif';
const pinLabelsFromScale = 9;
const smallPartLabelsFromScale = 4.5;

/** The colours that hold for an element of the page. */
export function readColours(element: Element): MapColours {
  const style = getComputedStyle(element);
  const token = (name: string): string => style.getPropertyValue(`--${name}`).trim();
  return {
    bench: token("map-bench"),
    board: token("map-board"),
    edge: token("map-edge"),
    part: token("map-part"),
    ink: token("map-ink"),
    quiet: token("map-quiet"),
    pad: token("map-pad"),
    probe: token("accent"),
    chosen: token("focus"),
    flagInk: token("accent-ink"),
  };
}

/** How a map is to be painted. */
export interface Painting {
  readonly view: MapView;
  readonly size: WindowSize;
  readonly deviceRatio: number;
  readonly colours: MapColours;
  /** A photo that lies under the map. */
  readonly photo?: PhotoUnder | undefined;
}

/** A photo under the map, and how strongly the map is drawn over it. */
export interface PhotoUnder {
  readonly image: CanvasImageSource;
  readonly toPhoto: Affine;
  /** 0: the photo alone; 1: the map as strong as without one. */
  readonly strength: number;
}

/**
 * Paints the board and its parts, without marks. What lies outside the window is left out; pads are painted as one path.
 * `ground` says whether bench and board are painted under the parts, or nothing, because a photo shows them.
 */
export function paintBoard(
  context: Context,
  scene: Scene,
  painting: Painting,
  ground: "board" | "nothing" = "board",
): void {
  const { view, size, deviceRatio, colours } = painting;
  const scale = view.pixelPerMillimetre;
  context.setTransform(deviceRatio, 0, 0, deviceRatio, 0, 0);
  if (ground === "board") {
    context.fillStyle = colours.bench;
    context.fillRect(0, 0, size.width, size.height);
  } else context.clearRect(0, 0, size.width, size.height);
  const across = (x: number): number => (x - view.left) * scale;
  const down = (y: number): number => (y - view.top) * scale;
  const toWindow = (box: Box): Box => ({
    x: across(box.x),
    y: down(box.y),
    width: box.width * scale,
    height: box.height * scale,
  });
  const { widthMillimetre: width, heightMillimetre: height } = scene.map;
  const board = toWindow({ x: 0, y: 0, width, height });

  context.fillStyle = colours.board;
  context.strokeStyle = colours.edge;
  context.lineWidth = 2;
  context.beginPath();
  context.roundRect(board.x, board.y, board.width, board.height, 2.5 * scale);
  if (ground === "board") context.fill();
  context.stroke();

  const reach = 26 * scale;
  const shown = scene.parts.filter(({ body }) => {
    const box = toWindow(body);
    return (
      box.x < size.width + reach &&
      box.y < size.height + reach &&
      box.x + box.width > -reach &&
      box.y + box.height > -reach
    );
  });
  const seenSide = scene.mirrored ? "solder" : "component";
  paintBodies(context, shown, { toWindow, colours, scale, seenSide });
  paintPads(context, shown, { across, down, scale, colours });
  for (const part of shown) paintLabel(context, part, { box: toWindow(part.body), scale, colours });
  if (scale >= pinLabelsFromScale) paintPinLabels(context, shown, { across, down, scale, colours });
}

function paintBodies(
  context: Context,
  parts: readonly ScenePart[],
  {
    toWindow,
    colours,
    scale,
    seenSide,
  }: {
    toWindow: (box: Box) => Box;
    colours: MapColours;
    scale: number;
    seenSide: "component" | "solder";
  },
): void {
  const thin = Math.max(1, 0.22 * scale);
  for (const { part, body, step } of parts) {
    const box = toWindow(body);
    context.beginPath();
    const round = part.shape === "round" || part.shape === "point";
    context.roundRect(box.x, box.y, box.width, box.height, round ? box.width / 2 : Math.min(3, 0.6 * scale));
    // A part on the other side is seen through the board: its outline alone, in dashes.
    const isAway = part.side !== seenSide;
    context.fillStyle = isAway ? colours.board : colours.part;
    context.fill();
    if (step > 0) hatch(context, box, { spacing: hatchSpacingMillimetre[step] * scale, step, colours });
    // The likelier the suspect, the heavier its outline: to be seen also where a label covers the hatching.
    context.strokeStyle = step > 1 ? colours.ink : colours.edge;
    context.lineWidth = thin + (step > 1 ? 0.7 * step : 0);
    context.setLineDash(part.shape === "outside" || isAway ? [4, 3] : []);
    context.beginPath();
    context.roundRect(box.x, box.y, box.width, box.height, round ? box.width / 2 : Math.min(3, 0.6 * scale));
    context.stroke();
    context.lineWidth = thin;
    if (part.shape === "chip") notch(context, box, part.rotationDegree);
  }
  context.setLineDash([]);
}

/** Half a circle at the end where pin 1 is. */
function notch(context: Context, box: Box, rotation: 0 | 90 | 180 | 270): void {
  const middleX = box.x + box.width / 2;
  const middleY = box.y + box.height / 2;
  const radius = Math.min(box.width, box.height) / 5;
  const ends = {
    0: [middleX, box.y, 0],
    90: [box.x + box.width, middleY, Math.PI / 2],
    180: [middleX, box.y + box.height, Math.PI],
    270: [box.x, middleY, -Math.PI / 2],
  } as const;
  const [x, y, turn] = ends[rotation];
  context.beginPath();
  context.arc(x, y, radius, turn, turn + Math.PI);
  context.stroke();
}

function hatch(
  context: Context,
  box: Box,
  { spacing, step, colours }: { spacing: number; step: number; colours: MapColours },
): void {
  context.save();
  context.clip();
  context.beginPath();
  const gap = Math.max(spacing, 2.5);
  for (let offset = gap; offset < box.width + box.height; offset += gap) {
    context.moveTo(box.x + offset, box.y);
    context.lineTo(box.x + offset - box.height, box.y + box.height);
  }
  context.strokeStyle = colours.ink;
  context.globalAlpha = 0.35 + 0.13 * step;
  context.lineWidth = Math.max(0.8, gap * 0.16 * step);
  context.stroke();
  context.restore();
}

interface Placing {
  readonly across: (x: number) => number;
  readonly down: (y: number) => number;
  readonly scale: number;
  readonly colours: MapColours;
}

function paintPads(
  context: Context,
  parts: readonly ScenePart[],
  { across, down, scale, colours }: Placing,
): void {
  const half = Math.max(0.75 * scale, 1.2);
  const asRounds = scale > 5;
  context.fillStyle = colours.pad;
  context.beginPath();
  for (const { part, pins } of parts) {
    for (const pin of pins) {
      if (pin.pin === part.pinOne) continue;
      const x = across(pin.seenX);
      const y = down(pin.y);
      if (asRounds) {
        context.moveTo(x + half, y);
        context.arc(x, y, half, 0, 2 * Math.PI);
      } else context.rect(x - half, y - half, 2 * half, 2 * half);
    }
  }
  context.fill();
  context.fillStyle = colours.ink;
  context.beginPath();
  for (const { part, pins } of parts) {
    const one = part.pinOne === undefined ? undefined : pins.find((pin) => pin.pin === part.pinOne);
    if (one === undefined) continue;
    const side = half * (part.shape === "chip" ? 1.25 : 1);
    context.rect(across(one.seenX) - side, down(one.y) - side, 2 * side, 2 * side);
  }
  context.fill();
}

function paintLabel(
  context: Context,
  { part, step, chance }: ScenePart,
  { box, scale, colours }: { box: Box; scale: number; colours: MapColours },
): void {
  const large =
    part.shape === "chip" || part.shape === "tab" || part.shape === "edge" || part.shape === "outside";
  if (!large && step < 2 && scale < smallPartLabelsFromScale) return;
  const size = Math.min(Math.max((large ? 2.8 : 1.9) * scale, large ? 10 : 9), 22);
  context.font = `${step > 0 ? 750 : 600} ${size}px ${labelFont}`;
  context.textAlign = "center";
  context.textBaseline = "middle";
  const lines = step < 2 ? [part.ref] : [part.ref, percentText(chance).replace(" ", "\u2009")];
  const widest = Math.max(...lines.map((line) => context.measureText(line).width));
  const upright = large && widest > box.width + 2 && box.height > box.width;
  context.save();
  context.translate(box.x + box.width / 2, box.y + box.height / 2);
  if (upright) context.rotate(-Math.PI / 2);
  const joined = upright ? [lines.join("  ")] : lines;
  const outside = !large && box.width < widest && !upright;
  for (const [i, line] of joined.entries()) {
    const y = outside ? box.height / 2 + size * (0.8 + i) : (i - (joined.length - 1) / 2) * size * 1.12;
    if (step > 2 || outside) {
      // Letters on close hatching need a ground of their own.
      const plate = context.measureText(line).width + size * 0.4;
      context.fillStyle = outside ? colours.board : colours.part;
      context.fillRect(-plate / 2, y - size * 0.58, plate, size * 1.12);
    } else if (step > 0) {
      context.lineJoin = "round";
      context.lineWidth = size * 0.3;
      context.strokeStyle = colours.part;
      context.strokeText(line, 0, y);
    }
    context.fillStyle = step > 0 || scale > 3 ? colours.ink : colours.quiet;
    context.fillText(line, 0, y);
  }
  context.restore();
}

function paintPinLabels(context: Context, parts: readonly ScenePart[], placing: Placing): void {
  const { across, down, scale, colours } = placing;
  const size = Math.min(1.5 * scale, 18);
  context.font = `500 ${size}px ${labelFont}`;
  context.textBaseline = "middle";
  context.fillStyle = colours.ink;
  for (const { part, body, pins } of parts) {
    if (part.shape !== "chip" || part.rotationDegree % 180 !== 0) continue;
    const middle = body.x + body.width / 2;
    for (const { pin, name, seenX, y } of pins) {
      const left = seenX < middle;
      context.textAlign = left ? "right" : "left";
      context.fillText(pin, across(seenX) + (left ? -1 : 1) * scale, down(y));
      if (scale < 14) continue;
      context.textAlign = left ? "left" : "right";
      context.fillText(name, across(seenX) + (left ? 1 : -1) * scale, down(y));
    }
  }
}
