import type { BoardMap } from "../board-map.js";

/** A pin that is easily found on a picture. */
export interface SuggestedMark {
  readonly ref: string;
  readonly pin: string;
  readonly x: number;
  readonly y: number;
}

const mostCandidates = 80;

/**
 * Pins to be tapped on a picture, best first: pin 1 of the two chips farthest apart, then of the chip that spans the
 * largest triangle with them, then the others. Chips come before other parts, for their pin 1 is marked. O(candidates²).
 */
export function suggestMarks(map: BoardMap): SuggestedMark[] {
  const all = map.parts.flatMap(({ ref, shape, pins, pinOne }) => {
    const pin = pins.find((one) => one.pin === pinOne);
    return pin === undefined || shape === "outside" ? [] : [{ ref, pin: pin.pin, x: pin.x, y: pin.y, shape }];
  });
  const chips = all.filter(({ shape }) => shape === "chip");
  const pool = (chips.length >= 3 ? chips : all)
    .slice(0, mostCandidates)
    .map(({ ref, pin, x, y }): SuggestedMark => ({ ref, pin, x, y }));
  let pair: readonly SuggestedMark[] = pool.slice(0, 2);
  let widest = -1;
  for (const [i, one] of pool.entries())
    for (const other of pool.slice(i + 1)) {
      const distance = Math.hypot(one.x - other.x, one.y - other.y);
      if (distance <= widest) continue;
      widest = distance;
      pair = [one, other];
    }
  const [first, second] = pair;
  if (first === undefined || second === undefined) return pool;
  const area = ({ x, y }: SuggestedMark): number =>
    Math.abs((second.x - first.x) * (y - first.y) - (second.y - first.y) * (x - first.x));
  const rest = pool.filter((one) => one !== first && one !== second).sort((a, b) => area(b) - area(a));
  return [first, second, ...rest];
}
