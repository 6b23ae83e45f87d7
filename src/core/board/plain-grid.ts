import type { Board } from "./board.js";

// A cell takes the longest chip of the time, 40 pins.
const cellWidthMillimetre = 55;
const cellHeightMillimetre = 25;

/** Positions for `count` parts in rows of equal cells, and the outline they need: for circuits without a layout. */
export function layPlainGrid(count: number): {
  readonly outline: Board["outline"];
  readonly positions: readonly { readonly xMillimetre: number; readonly yMillimetre: number }[];
} {
  if (!Number.isInteger(count) || count < 1)
    throw new RangeError(`count must be a positive integer, got ${count}`);
  const columns = Math.max(1, Math.ceil(Math.sqrt(count / 2)));
  const rows = Math.ceil(count / columns);
  const positions = Array.from({ length: count }, (_, i) => ({
    xMillimetre: ((i % columns) + 0.5) * cellWidthMillimetre,
    yMillimetre: (Math.floor(i / columns) + 0.5) * cellHeightMillimetre,
  }));
  return {
    outline: {
      widthMillimetre: columns * cellWidthMillimetre,
      heightMillimetre: rows * cellHeightMillimetre,
    },
    positions,
  };
}

/** True if all parts lie in the cells of `layPlainGrid`, so that their distances mean nothing. */
export function isPlainGrid(board: Board): boolean {
  return board.parts.every(
    (part) =>
      part.xMillimetre % cellWidthMillimetre === cellWidthMillimetre / 2 &&
      part.yMillimetre % cellHeightMillimetre === cellHeightMillimetre / 2,
  );
}
