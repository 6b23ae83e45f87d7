import { Level, levelCount, levelMask, partTimeFlag, unionLevel, wrongFlag } from "./value.js";

/**
 * A value in all phases at once: seven sets of phases ("planes"), each a 32-bit number whose bit k stands for
 * phase k. One operation on whole numbers then computes every phase. The first five planes tell the level:
 *
 * | level | planes | | level | planes |
 * | --- | --- | --- | --- | --- |
 * | low | zero | | floating | none |
 * | high | one | | rail absent | zero pulse loop |
 * | steady | zero one | | rail too low | one pulse |
 * | pulsing | zero one pulse | | rail good | one loop |
 * | pulsing now and then | zero one loop | | rail too high | one pulse loop |
 * | unsettled | zero one pulse loop | | rail rippled | one pulse fight |
 * | fighting, held low | zero fight | | | |
 * | fighting | zero one pulse fight | | | |
 */
export const Plane = {
  /** It can be read as 0. */
  zero: 0,
  /** It can be read as 1. */
  one: 1,
  pulse: 2,
  loop: 3,
  fight: 4,
  /** The information is wrong. */
  wrong: 5,
  /** Outputs only: released for part of the phase. */
  partTime: 6,
} as const;

/** Planes in a value. */
export const planeCount = 7;

/** Values in an array stand 2^planeShift numbers apart. */
export const planeShift = 3;

/** So many phases fit into a plane. */
export const mostPhases = 30;

const codeOfLevel: readonly number[] = (() => {
  const codes: number[] = [];
  codes[Level.low] = 0b00001;
  codes[Level.high] = 0b00010;
  codes[Level.pulsing] = 0b00111;
  codes[Level.floating] = 0;
  codes[Level.steady] = 0b00011;
  codes[Level.fightLow] = 0b10001;
  codes[Level.fightPulsing] = 0b10111;
  codes[Level.looping] = 0b01011;
  codes[Level.unsettled] = 0b01111;
  codes[Level.railAbsent] = 0b01101;
  codes[Level.railLow] = 0b00110;
  codes[Level.railGood] = 0b01010;
  codes[Level.railHigh] = 0b01110;
  codes[Level.railRippled] = 0b10110;
  return codes;
})();

const levelOfCode = (() => {
  const levels = new Uint8Array(32).fill(Level.floating);
  for (let level = 0; level < levelCount; level += 1) levels[codeOfLevel[level] ?? 0] = level;
  return levels;
})();

/** Sets the value that starts at `at` to a byte of value.ts in the phases of the bit set; leaves other phases alone. */
export function putValue(planes: Int32Array, at: number, value: number, phases: number): void {
  const code = codeOfLevel[value & levelMask] ?? 0;
  for (let p = Plane.zero; p <= Plane.fight; p += 1) putBits(planes, at + p, (code >> p) & 1, phases);
  putBits(planes, at + Plane.wrong, value & wrongFlag, phases);
  putBits(planes, at + Plane.partTime, value & partTimeFlag, phases);
}

function putBits(planes: Int32Array, at: number, on: number, phases: number): void {
  const old = planes[at] as number;
  planes[at] = on ? old | phases : old & ~phases;
}

/** Level in one phase. */
export function levelAt(planes: Int32Array, at: number, phase: number): number {
  const code =
    (((planes[at] as number) >> phase) & 1) |
    ((((planes[at + 1] as number) >> phase) & 1) << 1) |
    ((((planes[at + 2] as number) >> phase) & 1) << 2) |
    ((((planes[at + 3] as number) >> phase) & 1) << 3) |
    ((((planes[at + 4] as number) >> phase) & 1) << 4);
  return levelOfCode[code] as number;
}

/** Value in one phase, as a byte of value.ts. */
export function valueAt(planes: Int32Array, at: number, phase: number): number {
  const wrong = ((planes[at + Plane.wrong] as number) >> phase) & 1 ? wrongFlag : 0;
  const partTime = ((planes[at + Plane.partTime] as number) >> phase) & 1 ? partTimeFlag : 0;
  return levelAt(planes, at, phase) | wrong | partTime;
}

const bit = (level: number): number => 1 << level;

/** What an instrument sees over the phases together, as a byte of value.ts; see `unionOverPhases`. */
export function unionOf(planes: Int32Array, at: number, allPhases: number): number {
  const zero = planes[at] as number;
  const one = planes[at + 1] as number;
  const pulse = planes[at + 2] as number;
  const loop = planes[at + 3] as number;
  const fight = planes[at + 4] as number;
  const wrong = (planes[at + 5] as number) !== 0 ? wrongFlag : 0;
  const both = zero & one;
  // Most nets that change do nothing but pulse.
  if (both === allPhases && pulse === allPhases && (loop | fight) === 0) return Level.pulsing | wrong;
  let levels = 0;
  if (both !== 0) {
    if (both & pulse & ~loop & ~fight) levels |= bit(Level.pulsing);
    if (both & pulse & fight) levels |= bit(Level.fightPulsing);
    if (both & pulse & loop) levels |= bit(Level.unsettled);
    if (both & loop & ~pulse) levels |= bit(Level.looping);
    if (both & ~pulse & ~loop) levels |= bit(Level.steady);
  }
  const low = zero & ~one;
  if (low !== 0) {
    if (low & ~pulse & ~fight) levels |= bit(Level.low);
    if (low & fight) levels |= bit(Level.fightLow);
    if (low & pulse) levels |= bit(Level.railAbsent);
  }
  const high = one & ~zero;
  if (high !== 0) {
    if (high & ~pulse & ~loop) levels |= bit(Level.high);
    if (high & pulse & ~loop & ~fight) levels |= bit(Level.railLow);
    if (high & loop & ~pulse) levels |= bit(Level.railGood);
    if (high & pulse & loop) levels |= bit(Level.railHigh);
    if (high & pulse & fight) levels |= bit(Level.railRippled);
  }
  if (allPhases & ~(zero | one)) levels |= bit(Level.floating);
  return unionLevel(levels) | wrong;
}

/** Phases in which the level moves, or may move, by itself. */
export function movingPhases(planes: Int32Array, at: number): number {
  return (
    (planes[at] as number) &
    (planes[at + 1] as number) &
    ((planes[at + 2] as number) | (planes[at + 3] as number))
  );
}

/** Phases in which somebody drives it: the level is not floating. */
export function drivenPhases(planes: Int32Array, at: number): number {
  return (planes[at] as number) | (planes[at + 1] as number);
}

/** Phases in which the value at `at` differs from the one at the start of `other`. */
export function differingPhases(planes: Int32Array, at: number, other: Int32Array): number {
  return (
    ((planes[at] as number) ^ (other[0] as number)) |
    ((planes[at + 1] as number) ^ (other[1] as number)) |
    ((planes[at + 2] as number) ^ (other[2] as number)) |
    ((planes[at + 3] as number) ^ (other[3] as number)) |
    ((planes[at + 4] as number) ^ (other[4] as number)) |
    ((planes[at + 5] as number) ^ (other[5] as number)) |
    ((planes[at + 6] as number) ^ (other[6] as number))
  );
}

/** Copies one value. */
export function copyValue(from: Int32Array, fromAt: number, to: Int32Array, toAt: number): void {
  to[toAt] = from[fromAt] as number;
  to[toAt + 1] = from[fromAt + 1] as number;
  to[toAt + 2] = from[fromAt + 2] as number;
  to[toAt + 3] = from[fromAt + 3] as number;
  to[toAt + 4] = from[fromAt + 4] as number;
  to[toAt + 5] = from[fromAt + 5] as number;
  to[toAt + 6] = from[fromAt + 6] as number;
}
