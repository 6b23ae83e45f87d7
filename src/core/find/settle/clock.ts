import type { Engine } from "./engine.js";
import { movingPhases, planeCount } from "./planes.js";

/** What a clock input does over the phases. */
export const Clock = {
  /** It moves. */
  moves: 1,
  /** It rests, and not low. */
  high: 2,
  /** Its information is wrong. */
  wrong: 4,
} as const;

const seen = new Int32Array(planeCount);

/** Whether a clock input moves over the phases, rests high, and whether it is wrong: bits of `Clock`. */
export function clockOf(engine: Engine, pin: number): number {
  engine.pins.copyTo(seen, pin);
  const zero = seen[0] as number;
  const one = seen[1] as number;
  const pulse = seen[2] as number;
  const moving = movingPhases(seen, 0);
  const low = zero & ~one & ~pulse;
  // Whatever neither moves, is low, nor may be either counts as high: an open clock input drifts there.
  const high = engine.allPhases & ~moving & ~low & ~(zero & one);
  const wrong = (seen[5] as number) !== 0 ? Clock.wrong : 0;
  if (moving !== 0 || (low !== 0 && high !== 0))
    return Clock.moves | wrong | (high !== 0 && low === 0 ? Clock.high : 0);
  return (high !== 0 ? Clock.high : 0) | wrong;
}

/** Phases in which an input is surely high. */
export function highPhases(engine: Engine, pin: number): number {
  engine.pins.copyTo(seen, pin);
  return (seen[1] as number) & ~(seen[0] as number);
}
