import { Level, levelMask, partTimeFlag, wrongFlag } from "../../src/core/find/settle/value.js";

/** An output on a net: its value as a byte, and whether a stronger one overrides its low level. */
export interface NaiveOutput {
  readonly value: number;
  readonly weak: boolean;
}

/**
 * What outputs and a pull make of a net in one phase, rule by rule; the slow rival of the computation on planes.
 * @param pulled level the net has when no output drives it
 */
export function resolveNaively(outputs: readonly NaiveOutput[], pulled: number): number {
  const driving = outputs.filter(({ value }) => (value & levelMask) !== Level.floating);
  if (driving.length === 0) return pulled;
  const wrong = driving.some(({ value }) => value & wrongFlag) ? wrongFlag : 0;
  const full = driving.filter(({ value }) => !(value & partTimeFlag));
  if (full.length > 1 && !full.every(isHigh) && !full.every(isLow)) return fight(full);
  const alike = driving.every(isHigh) || driving.every(isLow);
  const fought = driving.map(({ value }) => value & levelMask).includes(Level.fightLow);
  const [first] = driving;
  const level = fought ? Level.fightLow : (first?.value ?? 0) & levelMask;
  if (full.length === 0) {
    // Outputs that take turns with the pull: the net rests only if all of them pull it where it rests anyway.
    const pulledSo = pulled === (driving.every(isHigh) ? Level.high : Level.low);
    return (alike && pulledSo ? level : Level.pulsing) | wrong;
  }
  if (full.length < driving.length && !alike) return (wrong ? Level.fightPulsing : Level.pulsing) | wrong;
  return level | wrong;
}

function isHigh({ value }: NaiveOutput): boolean {
  return (value & levelMask) === Level.high;
}

/** Surely low, whether or not somebody fights it. */
function isLow({ value }: NaiveOutput): boolean {
  return [Level.low, Level.fightLow].some((level) => level === (value & levelMask));
}

/** Outputs that drive at the same time and not alike. */
function fight(full: readonly NaiveOutput[]): number {
  const high = full.filter(isHigh);
  const [first, ...others] = full.filter((output) => !isHigh(output));
  if (first === undefined) return Level.high;
  const rest = [first, ...others];
  const overridden = rest.every((output) => output.weak) && high.some((output) => !output.weak);
  if (overridden) return Level.fightPulsing | wrongFlag;
  if (rest.length > 1) return rest.some(isLow) ? Level.fightLow : Level.fightPulsing | wrongFlag;
  return (isLow(first) ? Level.fightLow : Level.fightPulsing) | (first.value & wrongFlag);
}
