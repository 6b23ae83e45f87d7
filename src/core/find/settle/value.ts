/**
 * What a net (or an output) carries in one phase, in one byte:
 * bits 0-3 the level an instrument sees, bit 4 set if the information is wrong,
 * bit 5 (outputs only) set if the output is released for part of the phase.
 */
export const Level = {
  low: 0,
  high: 1,
  pulsing: 2,
  /** Nobody drives it. On an output: released. */
  floating: 3,
  /** Low or high, not known which, but not moving. */
  steady: 4,
  /** Outputs fight and the low one wins. */
  fightLow: 5,
  /** Outputs fight and the level moves. */
  fightPulsing: 6,
  /** Moves or stands still, as the loop of a crashed program has it. */
  looping: 7,
  /** The rounds ran out before the value came to rest. */
  unsettled: 8,
  /** Supply nets. */
  railAbsent: 9,
  railLow: 10,
  railGood: 11,
  railHigh: 12,
  railRippled: 13,
} as const;

export const levelCount = 14;
export const levelMask = 15;
export const wrongFlag = 16;
export const partTimeFlag = 32;

const names = [
  "low",
  "high",
  "pulsing",
  "floating",
  "steady",
  "fighting, held low",
  "fighting",
  "pulsing now and then",
  "unsettled",
  "absent",
  "too low",
  "good",
  "too high",
  "rippled",
] as const;

/** Plain words for the level in a value. */
export function levelName(value: number): string {
  return names[value & levelMask] ?? "unknown";
}

export function isWrong(value: number): boolean {
  return (value & wrongFlag) !== 0;
}

/** True if the level moves, or may move, by itself. */
export function moves(value: number): boolean {
  const level = value & levelMask;
  return (
    level === Level.pulsing ||
    level === Level.fightPulsing ||
    level === Level.looping ||
    level === Level.unsettled
  );
}

/**
 * What an instrument sees on a net over all phases together: low in one phase and high in another is pulsing.
 * The wrong flag is set if the information is wrong in any phase.
 * @param values net values, `phaseCount` of them from `offset` on
 */
export function unionOverPhases(values: Uint8Array, offset: number, phaseCount: number): number {
  let levels = 0;
  let wrong = 0;
  for (let i = offset; i < offset + phaseCount; i += 1) {
    const value = values[i] as number;
    levels |= 1 << (value & levelMask);
    wrong |= value & wrongFlag;
  }
  return unionLevel(levels) | wrong;
}

const bit = (level: number): number => 1 << level;
const lowBits = bit(Level.low) | bit(Level.fightLow);

/** Level an instrument sees where the levels of a set, given as a bit set, follow each other. */
export function unionLevel(levels: number): number {
  if ((levels & (levels - 1)) === 0) return 31 - Math.clz32(levels);
  if (levels & bit(Level.unsettled)) return Level.unsettled;
  if (levels & bit(Level.fightPulsing)) return Level.fightPulsing;
  if (levels & bit(Level.fightLow)) return (levels & ~lowBits) === 0 ? Level.fightLow : Level.fightPulsing;
  if (levels & bit(Level.pulsing)) return Level.pulsing;
  if (levels & bit(Level.low) && levels & bit(Level.high)) return Level.pulsing;
  if (levels & bit(Level.looping)) return Level.looping;
  if (levels & bit(Level.steady) && !(levels & bit(Level.floating))) return Level.steady;
  return Level.pulsing;
}
