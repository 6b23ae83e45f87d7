import type { DraftBox } from "./netlist-draft.js";

// No board and no drawing of one is larger; what lies beyond is damage.
const furthestMillimetre = 100_000;

/** A plain decimal number as a place on a board; undefined for anything else, and for places further out than 100 m. */
export function readMillimetres(text: string | undefined): number | undefined {
  if (text === undefined || !/^[+-]?[0-9]{1,12}(\.[0-9]{0,12})?$/.test(text)) return undefined;
  const value = Number(text);
  return Math.abs(value) <= furthestMillimetre ? value : undefined;
}

/** To a tenth of a micrometre, so that turned and converted places come out equal on every machine. */
export function roundMillimetres(millimetre: number): number {
  // Adding nought turns -0 into 0.
  return Math.round(millimetre * 1e4) / 1e4 + 0;
}

/** The smallest box round `box` and a point; the point alone if there is no box yet. */
export function growBox(box: DraftBox | undefined, x: number, y: number): DraftBox {
  if (box === undefined) return { left: x, top: y, right: x, bottom: y };
  return {
    left: Math.min(box.left, x),
    top: Math.min(box.top, y),
    right: Math.max(box.right, x),
    bottom: Math.max(box.bottom, y),
  };
}
