import type { Wiring } from "../settle/circuit.js";
import type { Look } from "./look-shape.js";

/**
 * Chance that what is read at a pin, or at any pin of a net (`pin` -1), belongs elsewhere, because the board file only
 * assumes how it is wired. 0 for what somebody has seen, and on boards without anything assumed.
 */
export function chanceWiredOtherwise(wiring: Wiring, net: number, pin: number): number {
  const chance = wiring.board.assumedWiredOtherwise ?? 0;
  if (chance === 0) return 0;
  const isAssumed = (at: number): boolean => {
    const found = wiring.pins[at];
    const part = wiring.parts[found?.part ?? -1]?.part;
    return found !== undefined && part?.assumedPins?.includes(found.number) === true;
  };
  if (pin >= 0) return isAssumed(pin) ? chance : 0;
  const pins = wiring.netPins[net] ?? [];
  return pins.length > 0 && pins.every(isAssumed) ? chance : 0;
}

/** A look that may be at the wrong place: with that chance any of its outcomes is as likely as another. */
export function blurred(look: Look, chance: number): Look {
  if (chance === 0) return look;
  const even = chance / look.outcomes.length;
  return { ...look, likelihood: look.likelihood.map((p) => (1 - chance) * p + even) };
}
