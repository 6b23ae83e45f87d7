import { Level, levelMask, moves, partTimeFlag, wrongFlag } from "../../src/core/find/settle/value.js";

/**
 * What outputs and a pull make of a net in one phase, rule by rule; the slow rival of the computation on planes.
 * @param outputs values of the outputs on the net, as bytes
 * @param pulled level the net has when no output drives it
 */
export function resolveNaively(outputs: readonly number[], pulled: number): number {
  const driving = outputs.filter((value) => (value & levelMask) !== Level.floating);
  if (driving.length === 0) return pulled;
  const wrong = driving.some((value) => value & wrongFlag) ? wrongFlag : 0;
  const full = driving.filter((value) => !(value & partTimeFlag));
  const levels = new Set(driving.map((value) => value & levelMask));
  const [only = Level.floating] = levels.size === 1 ? levels : [];
  if (full.length === 0) {
    // Outputs that take turns with the pull: the net rests only if all of them pull it where it rests anyway.
    return (only === pulled && (only === Level.low || only === Level.high) ? only : Level.pulsing) | wrong;
  }
  if (full.length === 1) {
    if (driving.length === 1) return only | wrong;
    return (wrong ? Level.fightPulsing : Level.pulsing) | wrong;
  }
  const agree = levels.size === 1 && only !== Level.pulsing;
  if (agree) return only | wrong;
  const anyLow = driving.some((value) => !moves(value) && isLow(value & levelMask));
  return (anyLow ? Level.fightLow : Level.fightPulsing) | wrongFlag;
}

function isLow(level: number): boolean {
  return level === Level.low || level === Level.fightLow;
}
