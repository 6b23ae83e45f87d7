import type { Board } from "./board.js";
import type { DraftBox, DraftLayout, DraftPad } from "./read/netlist-draft.js";

/** A component's place as a board has it: millimetres from the left and the top edge, component side up. */
export interface BoardPlace {
  readonly xMillimetre: number;
  readonly yMillimetre: number;
  readonly rotationDegree: 0 | 90 | 180 | 270;
  readonly side: "front" | "back";
  /** In the order of the file. */
  readonly pads: readonly DraftPad[];
}

/** A layout as a board has it. */
export interface BoardLayout {
  readonly outline: Board["outline"];
  /** By reference. */
  readonly places: ReadonlyMap<string, BoardPlace>;
}

// Room round the outermost pads of a board whose edge is not drawn; common practice, no source.
const marginMillimetre = 5;
const collinearMillimetre = 0.5;

/**
 * Moves a layout so that the top left corner of its edge is the origin, and finds each component's centre (the middle of
 * its pads) and quarter turn. Undefined if nothing has a place. Places do not depend on where the drawing sheet begins.
 */
export function boardLayoutOf({ outline, places }: DraftLayout): BoardLayout | undefined {
  const placed = [...places].filter(([, { pads }]) => pads.length > 0);
  const box = outline ?? boxOf(placed.flatMap(([, { pads }]) => pads));
  if (box === undefined) return undefined;
  const { left, top, right, bottom } = box;
  const moved = placed.map(([ref, { side, pads }]): [string, BoardPlace] => {
    const own = pads.map(({ pin, xMillimetre, yMillimetre }) => ({
      pin,
      xMillimetre: rounded(xMillimetre - left),
      yMillimetre: rounded(yMillimetre - top),
    }));
    const [xs, ys] = [own.map((pad) => pad.xMillimetre), own.map((pad) => pad.yMillimetre)];
    return [
      ref,
      {
        xMillimetre: rounded((least(xs) + most(xs)) / 2),
        yMillimetre: rounded((least(ys) + most(ys)) / 2),
        rotationDegree: quarterTurnOf(own),
        side,
        pads: own,
      },
    ];
  });
  return {
    outline: { widthMillimetre: rounded(right - left), heightMillimetre: rounded(bottom - top) },
    places: new Map(moved),
  };
}

/**
 * How a part is turned, in quarters clockwise, from its first two pins: unturned, pin 1 is at the top left, and pin 2
 * lies below it in a package with two rows and to the right of it in one with a single row. 0 where that cannot be seen.
 */
function quarterTurnOf(pads: readonly DraftPad[]): BoardPlace["rotationDegree"] {
  const [first, second] = ["1", "2"].map((pin) => pads.find((pad) => pad.pin === pin));
  const [from, to] = first === undefined || second === undefined ? [pads[0], pads[1]] : [first, second];
  if (from === undefined || to === undefined) return 0;
  const [dx, dy] = [to.xMillimetre - from.xMillimetre, to.yMillimetre - from.yMillimetre];
  if (dx === 0 && dy === 0) return 0;
  const isVertical = Math.abs(dy) > Math.abs(dx);
  const direction = isVertical ? (dy > 0 ? 90 : 270) : dx > 0 ? 0 : 180;
  if (isRow(pads)) return direction;
  return direction === 90 ? 0 : direction === 180 ? 90 : direction === 270 ? 180 : 270;
}

/** True if all pads lie on one upright or level line. */
function isRow(pads: readonly DraftPad[]): boolean {
  const [xs, ys] = [pads.map((pad) => pad.xMillimetre), pads.map((pad) => pad.yMillimetre)];
  return most(xs) - least(xs) < collinearMillimetre || most(ys) - least(ys) < collinearMillimetre;
}

function boxOf(pads: readonly DraftPad[]): DraftBox | undefined {
  if (pads.length === 0) return undefined;
  const [xs, ys] = [pads.map((pad) => pad.xMillimetre), pads.map((pad) => pad.yMillimetre)];
  return {
    left: least(xs) - marginMillimetre,
    top: least(ys) - marginMillimetre,
    right: most(xs) + marginMillimetre,
    bottom: most(ys) + marginMillimetre,
  };
}

// Not Math.min(...values): a damaged file may have more pads than a call takes arguments.
function least(values: readonly number[]): number {
  return values.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
}

function most(values: readonly number[]): number {
  return values.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
}

function rounded(millimetre: number): number {
  return Math.round(millimetre * 1000) / 1000 + 0;
}
