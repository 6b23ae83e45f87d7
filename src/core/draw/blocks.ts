/**
 * A path over a grid of squares, [rows × columns] row by row, through those that `isIn` picks; neighbours in a row are
 * one rectangle. `inset` leaves that much of each square free on every side (then each is drawn by itself).
 */
export function blocksPath(
  cells: ArrayLike<number>,
  columns: number,
  isIn: (cell: number) => boolean,
  inset = 0,
): string {
  const steps: string[] = [];
  const side = 1 - 2 * inset;
  for (let at = 0; at < cells.length; at += 1) {
    if (!isIn(cells[at] ?? 0)) continue;
    const x = at % columns;
    const y = Math.floor(at / columns);
    let wide = 1;
    while (inset === 0 && x + wide < columns && isIn(cells[at + wide] ?? 0)) wide += 1;
    const width = inset === 0 ? wide : side;
    steps.push(`M${round(x + inset)} ${round(y + inset)}h${round(width)}v${round(side)}h${round(-width)}z`);
    at += wide - 1;
  }
  return steps.join("");
}

function round(value: number): number {
  return Math.round(value * 100) / 100;
}
