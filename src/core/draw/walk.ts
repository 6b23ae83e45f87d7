/** A way to go on a drawing. */
export type Direction = "left" | "right" | "up" | "down";

/** Something with a place on the drawing. */
export interface Spot {
  readonly x: number;
  readonly y: number;
}

const headings: Readonly<Record<Direction, readonly [number, number]>> = {
  left: [-1, 0],
  right: [1, 0],
  up: [0, -1],
  down: [0, 1],
};

// How much worse a step to the side is than a step ahead: with 2.5 a walk along a row of chips stays in that row.
const sidewaysWeight = 2.5;

/**
 * Where an arrow key leads: the spot ahead of `from` that is nearest, with distances to the side counted
 * 2.5 times. Undefined if there is none ahead. Of equally good ones the earlier wins. O(spots).
 */
export function stepTowards<T extends Spot>(
  from: Spot,
  direction: Direction,
  spots: Iterable<T>,
): T | undefined {
  const [hx, hy] = headings[direction];
  let best: T | undefined;
  let bestCost = Number.POSITIVE_INFINITY;
  for (const spot of spots) {
    const dx = spot.x - from.x;
    const dy = spot.y - from.y;
    const ahead = dx * hx + dy * hy;
    const aside = Math.abs(dx * hy) + Math.abs(dy * hx);
    if (ahead <= 0.01 || aside > 4 * ahead) continue;
    const cost = ahead + sidewaysWeight * aside;
    if (cost < bestCost) {
      best = spot;
      bestCost = cost;
    }
  }
  return best;
}
