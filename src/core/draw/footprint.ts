import type { BoardPart } from "../board/board.js";
import type { PartType } from "../board/part-type.js";
import { compareNatural } from "./natural-order.js";

/** How a body is drawn. */
export type BodyShape = "chip" | "box" | "round" | "axial" | "disc" | "tab" | "edge" | "point" | "outside";

/** Where a pin meets the board. Millimetres; from the centre of the part, or of the board's top left corner. */
export interface Pad {
  readonly pin: string;
  readonly x: number;
  readonly y: number;
}

/** An upright rectangle in millimetres; `x` and `y` are its top left corner. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Body and pads of a part, seen from the component side, y downwards. */
export interface Footprint {
  readonly shape: BodyShape;
  readonly body: Box;
  /** In the order of the pins. */
  readonly pads: readonly Pad[];
  /** The pin that marks the way round; absent for parts that have none. */
  readonly pinOne?: string;
}

// One tenth of an inch, the pitch of dual-in-line packages and of most connectors of the time (JEDEC MS-001, MS-011;
// from memory). Sizes of passive parts are those commonly met; common practice, no source.
const pitchMillimetre = 2.54;
const narrowRowMillimetre = 7.62;
const wideRowMillimetre = 15.24;
const singleRowMost = 12;

/**
 * The footprint of a part round its own centre (0, 0), not turned: pin 1 at the top left, dual-in-line packages upright,
 * two-legged parts lying with pin 1 on the left. Every pin of the type has a pad, also one that the board leaves open;
 * connectors count up to the highest pin the board uses.
 */
export function footprintOf(part: Pick<BoardPart, "pins">, type: PartType | undefined): Footprint {
  const dual = /^DIP(\d+)$/.exec(type?.package ?? "");
  if (dual?.[1] !== undefined) return dualInLine(Number(dual[1]));
  const pins = pinsOf(part, type);
  if (type?.package === "TO-220") return rowOf(pins, "tab", 10.2, 4.8);
  if (type?.package === "TO-92") return rowOf(pins, "disc", 5.2, 4.4);
  const behaviour = type?.behaviour;
  const kind = behaviour?.kind === "plain" ? behaviour.as : undefined;
  if (type?.type === "edge-connector") return twoRows(pins, "edge");
  if (type?.family === "outside-supply") return rowOf(pins, "outside", 0, 4);
  if (type?.family === "rectifier" && pins.length === 2) return twoLegs(pins, "axial", 10.16, 6, 3);
  switch (kind) {
    case "resistor":
      return twoLegs(pins, "axial", 10.16, 6.4, 2.4);
    case "diode":
      return twoLegs(pins, "axial", 7.62, 4.4, 2.2);
    case "coil":
      return twoLegs(pins, "axial", 10.16, 7, 3.6);
    case "fuse":
      return twoLegs(pins, "axial", 22.5, 20, 5.2);
    case "capacitor":
      return type?.family === "capacitor-aluminium"
        ? twoLegs(pins, "round", 5.08, 9, 9)
        : twoLegs(pins, "disc", 5.08, 6.4, 2.8);
    case "led":
      return twoLegs(pins, "round", 2.54, 5, 5);
    case "crystal":
      return twoLegs(pins, "box", 4.88, 11, 4.7);
    case "jumper":
      return twoLegs(pins, "box", 2.54, 5.08, 2.54);
    case "switch":
      return twoLegs(pins, "box", 5.08, 8, 6);
    case "loudspeaker":
      return twoLegs(pins, "round", 10.16, 20, 20);
    case "test-point":
      return rowOf(pins, "point", 0, 2.2);
    case "keyboard":
      return rowOf(pins, "outside", 0, 4);
    case "transistor":
      return rowOf(pins, "disc", 5.2, 4.4);
    case "resistor-network":
      return rowOf(pins, "box", 0, 2.6);
    case "mechanical":
      return { shape: "box", body: centred(22, 10), pads: [] };
    default:
      return pins.length > singleRowMost ? twoRows(pins, "box") : rowOf(pins, "box", 5, 4.2);
  }
}

/** A footprint turned clockwise (component side up) and moved to its centre on the board. */
export function placeFootprint(
  footprint: Footprint,
  { x, y, rotationDegree }: { x: number; y: number; rotationDegree: 0 | 90 | 180 | 270 },
): Footprint {
  const turn = turns[rotationDegree];
  const pads = footprint.pads.map((pad) => {
    const [dx, dy] = turn(pad.x, pad.y);
    return { pin: pad.pin, x: x + dx, y: y + dy };
  });
  const { body } = footprint;
  const [ax, ay] = turn(body.x, body.y);
  const [bx, by] = turn(body.x + body.width, body.y + body.height);
  const placed = {
    x: x + Math.min(ax, bx),
    y: y + Math.min(ay, by),
    width: Math.abs(ax - bx),
    height: Math.abs(ay - by),
  };
  return { ...footprint, body: placed, pads };
}

const turns: Readonly<Record<0 | 90 | 180 | 270, (x: number, y: number) => readonly [number, number]>> = {
  0: (x, y) => [x, y],
  90: (x, y) => [-y, x],
  180: (x, y) => [-x, -y],
  270: (x, y) => [y, -x],
};

function pinsOf(part: Pick<BoardPart, "pins">, type: PartType | undefined): string[] {
  if (type !== undefined && type.pins !== "as-board") return type.pins.map((pin) => pin.number);
  const named = Object.keys(part.pins).sort(compareNatural);
  const numbers = named.map(Number);
  if (named.length === 0 || numbers.some((number) => !Number.isInteger(number) || number < 1)) return named;
  return Array.from({ length: Math.max(...numbers) }, (_, i) => String(i + 1));
}

function dualInLine(count: number): Footprint {
  const rows = count / 2;
  const span = count <= 20 ? narrowRowMillimetre : wideRowMillimetre;
  const top = (-(rows - 1) / 2) * pitchMillimetre;
  const pads = Array.from({ length: count }, (_, i) => {
    const left = i < rows;
    const row = left ? i : count - 1 - i;
    return { pin: String(i + 1), x: left ? -span / 2 : span / 2, y: top + row * pitchMillimetre };
  });
  return { shape: "chip", body: centred(span - 1.5, rows * pitchMillimetre), pads, pinOne: "1" };
}

function twoLegs(
  pins: readonly string[],
  shape: BodyShape,
  spacing: number,
  width: number,
  height: number,
): Footprint {
  if (pins.length !== 2) return rowOf(pins, shape, width, height);
  const pads = pins.map((pin, i) => ({ pin, x: (i - 0.5) * spacing, y: 0 }));
  return { shape, body: centred(width, height), pads, ...first(pins) };
}

/** Pins in one row; the body is at least `least` wide and covers the row. */
function rowOf(pins: readonly string[], shape: BodyShape, least: number, height: number): Footprint {
  const width = Math.max(least, pins.length * pitchMillimetre);
  const left = (-(pins.length - 1) / 2) * pitchMillimetre;
  const pads = pins.map((pin, i) => ({ pin, x: left + i * pitchMillimetre, y: 0 }));
  return { shape, body: centred(shape === "point" ? height : width, height), pads, ...first(pins) };
}

/** Odd pins in the upper row, even pins below them. */
function twoRows(pins: readonly string[], shape: BodyShape): Footprint {
  const columns = Math.ceil(pins.length / 2);
  const left = (-(columns - 1) / 2) * pitchMillimetre;
  const pads = pins.map((pin, i) => ({
    pin,
    x: left + Math.floor(i / 2) * pitchMillimetre,
    y: i % 2 === 0 ? -pitchMillimetre / 2 : pitchMillimetre / 2,
  }));
  return {
    shape,
    body: centred(columns * pitchMillimetre + 1, 2 * pitchMillimetre + 1),
    pads,
    ...first(pins),
  };
}

function first(pins: readonly string[]): { pinOne?: string } {
  const [pinOne] = pins;
  return pinOne === undefined || pins.length < 2 ? {} : { pinOne };
}

function centred(width: number, height: number): Box {
  return { x: -width / 2, y: -height / 2, width, height };
}
