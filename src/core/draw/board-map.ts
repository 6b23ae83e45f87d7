import type { Board, BoardPart, Section } from "../board/board.js";
import type { PartType } from "../board/part-type.js";
import { type BodyShape, type Box, type Footprint, footprintOf, placeFootprint } from "./footprint.js";

/** One pin on the map. */
export interface MapPin {
  readonly pin: string;
  /** Name on the data sheet; empty where the type has none. */
  readonly name: string;
  /** Line it hangs on; null for a pin left open. */
  readonly net: string | null;
  /** Millimetres from the left edge, component side up. */
  readonly x: number;
  /** Millimetres from the top edge. */
  readonly y: number;
}

/** One part on the map. */
export interface MapPart {
  readonly ref: string;
  readonly type: string;
  readonly title: string;
  readonly value?: string | undefined;
  readonly section: Section;
  readonly socketed: boolean;
  readonly shape: BodyShape;
  /** Millimetres on the board, turned as the part is. */
  readonly body: Box;
  readonly rotationDegree: 0 | 90 | 180 | 270;
  /** In the order of the pins. */
  readonly pins: readonly MapPin[];
  readonly pinOne?: string | undefined;
  /** Side of the board it sits on. */
  readonly side: "component" | "solder";
}

/** A board as it lies on the bench, seen from the component side. */
export interface BoardMap {
  readonly id: string;
  readonly title: string;
  readonly widthMillimetre: number;
  readonly heightMillimetre: number;
  /** Everything drawn, with what sticks out over the edges. */
  readonly extent: Box;
  readonly parts: readonly MapPart[];
}

// A keyboard or a mains adapter is no part of the board: it is drawn this far outside the edge it is nearest to.
const outsideGapMillimetre = 5;
const marginMillimetre = 4;

/** The map of a board. Parts of an unknown type are drawn by their pins alone. O(pins). */
export function boardMapOf(board: Board, typeOf: (name: string) => PartType | undefined): BoardMap {
  const { widthMillimetre, heightMillimetre } = board.outline;
  const parts = board.parts.map((part) => mapPart(part, typeOf(part.type), board.outline));
  return {
    id: board.id,
    title: board.title,
    widthMillimetre,
    heightMillimetre,
    extent: extentOf([
      { x: 0, y: 0, width: widthMillimetre, height: heightMillimetre },
      ...parts.map((p) => p.body),
    ]),
    parts,
  };
}

function mapPart(part: BoardPart, type: PartType | undefined, outline: Board["outline"]): MapPart {
  const footprint = footprintOf(part, type);
  const { rotationDegree } = part;
  const at = { x: part.xMillimetre, y: part.yMillimetre, rotationDegree };
  const placed = placeFootprint(
    footprint,
    footprint.shape === "outside" ? movedOut(at, footprint.body, outline) : at,
  );
  const lying = part.pads === undefined ? placed : onPads(placed, part.pads);
  const names = new Map(
    type === undefined || type.pins === "as-board" ? [] : type.pins.map((pin) => [pin.number, pin.name]),
  );
  return {
    ref: part.ref,
    type: part.type,
    title: type?.title ?? part.type,
    ...(part.value === undefined ? {} : { value: part.value }),
    section: part.section,
    socketed: part.socketed === true,
    shape: lying.shape,
    body: lying.body,
    rotationDegree,
    pins: lying.pads.map(({ pin, x, y }) => ({
      pin,
      name: names.get(pin) ?? "",
      net: part.pins[pin] ?? null,
      x,
      y,
    })),
    ...(lying.pinOne === undefined ? {} : { pinOne: lying.pinOne }),
    side: part.side === "back" ? "solder" : "component",
  };
}

// How far a body reaches beyond the middles of its pads where only the pads are known; common practice, no source.
const bodyMarginMillimetre = 1.27;

/**
 * A footprint whose pads lie where the layout has them. A pin without a pad in the layout is left out. A body whose pads
 * lie elsewhere than usual for the package becomes the box round them; others keep their usual body.
 */
function onPads(usual: Footprint, known: Readonly<Record<string, readonly [number, number]>>): Footprint {
  const pads = usual.pads.flatMap(({ pin }) => {
    const at = Object.hasOwn(known, pin) ? known[pin] : undefined;
    return at === undefined ? [] : [{ pin, x: at[0], y: at[1] }];
  });
  const listed = new Set(usual.pads.map(({ pin }) => pin));
  const more = Object.entries(known).flatMap(([pin, [x, y]]) => (listed.has(pin) ? [] : [{ pin, x, y }]));
  const all = [...pads, ...more];
  if (all.length === 0) return usual;
  const usualAt = new Map(usual.pads.map((pad) => [pad.pin, pad]));
  const isUsual = all.every(({ pin, x, y }) => {
    const at = usualAt.get(pin);
    return at !== undefined && Math.hypot(at.x - x, at.y - y) < bodyMarginMillimetre;
  });
  if (isUsual) return { ...usual, pads: all };
  const [xs, ys] = [all.map(({ x }) => x), all.map(({ y }) => y)];
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  const [width, height] = [Math.max(...xs) - left, Math.max(...ys) - top];
  const isChip = usual.shape === "chip";
  // The body of a chip lies between its two rows, that of anything else over its pads.
  const [inX, inY] = isChip ? (width < height ? [-0.75, 1.27] : [1.27, -0.75]) : [1.27, 1.27];
  return {
    ...usual,
    pads: all,
    body: { x: left - inX, y: top - inY, width: width + 2 * inX, height: height + 2 * inY },
  };
}

function movedOut<T extends { x: number; y: number }>(at: T, body: Box, outline: Board["outline"]): T {
  const out = body.height / 2 + outsideGapMillimetre;
  const byEdge = [
    { gap: at.y, moved: { ...at, y: -out } },
    { gap: outline.heightMillimetre - at.y, moved: { ...at, y: outline.heightMillimetre + out } },
    { gap: at.x, moved: { ...at, x: -body.width / 2 - outsideGapMillimetre } },
    {
      gap: outline.widthMillimetre - at.x,
      moved: { ...at, x: outline.widthMillimetre + body.width / 2 + outsideGapMillimetre },
    },
  ];
  return byEdge.reduce((best, one) => (one.gap < best.gap ? one : best)).moved;
}

function extentOf(boxes: readonly Box[]): Box {
  const left = Math.min(...boxes.map((box) => box.x)) - marginMillimetre;
  const top = Math.min(...boxes.map((box) => box.y)) - marginMillimetre;
  const right = Math.max(...boxes.map((box) => box.x + box.width)) + marginMillimetre;
  const bottom = Math.max(...boxes.map((box) => box.y + box.height)) + marginMillimetre;
  return { x: left, y: top, width: right - left, height: bottom - top };
}
