import type { Board, BoardPart, Section } from "../board/board.js";
import type { PartType } from "../board/part-type.js";
import { type BodyShape, type Box, footprintOf, placeFootprint } from "./footprint.js";

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
    shape: placed.shape,
    body: placed.body,
    rotationDegree,
    pins: placed.pads.map(({ pin, x, y }) => ({
      pin,
      name: names.get(pin) ?? "",
      net: part.pins[pin] ?? null,
      x,
      y,
    })),
    ...(placed.pinOne === undefined ? {} : { pinOne: placed.pinOne }),
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
