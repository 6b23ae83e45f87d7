import type { CircuitPart, Wiring } from "../settle/circuit.js";

/**
 * Pairs of pins that stand side by side along one row of a package, where both are connected and to different nets:
 * what a splash of solder or a whisker can join. The two rows of a package with an even number of pins do not touch.
 */
export function neighbouringPins(wiring: Wiring, part: CircuitPart): (readonly [number, number])[] {
  const count = part.pins.length;
  const netOf = (pin: number): number => wiring.pins[pin]?.net ?? -1;
  return part.pins.flatMap((first, i) => {
    const second = part.pins[i + 1];
    if (second === undefined || (count % 2 === 0 && i + 1 === count / 2)) return [];
    const apart = netOf(first) >= 0 && netOf(second) >= 0 && netOf(first) !== netOf(second);
    return apart ? [[first, second] as const] : [];
  });
}
