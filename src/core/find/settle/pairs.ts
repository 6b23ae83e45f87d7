/**
 * Sets of (healthy, actual) pairs of bits, for all phases at once. A truth function applied to such sets tells both
 * what its output shows and whether its information can be wrong: any pair whose two bits differ.
 *
 * A set takes six numbers ("planes"), bit k of each for phase k: whether the pair (0,0) is in it, healthy 0 actual 1,
 * healthy 1 actual 0, (1,1), and why the actual bit varies: because something pulses, or moves now and then.
 *
 * The set of a function of several inputs is the image of the product of their sets, so inputs are taken as
 * independent. It is exact for expressions that read each pin once; otherwise it may call a right output wrong.
 */
export const pairPlanes = 6;

/** Union of a set over some phases, in one number: bits 0 to 3 the pairs in the order above, bit 4 pulses, bit 5 now and then. */
export const pairBit = { same0: 1, became1: 2, became0: 4, same1: 8, pulsing: 16, looping: 32 } as const;

/** Puts at `to` the complement of the set at `a`: both bits of each pair inverted. */
export function notPairs(s: Int32Array, to: number, a: number): void {
  const same0 = s[a] as number;
  const became1 = s[a + 1] as number;
  const became0 = s[a + 2] as number;
  s[to] = s[a + 3] as number;
  s[to + 1] = became0;
  s[to + 2] = became1;
  s[to + 3] = same0;
  s[to + 4] = s[a + 4] as number;
  s[to + 5] = s[a + 5] as number;
}

/** Puts at `to` the set of a bit that is always `on`. */
export function constantPairs(s: Int32Array, to: number, on: boolean): void {
  s.fill(0, to, to + pairPlanes);
  s[on ? to + 3 : to] = -1;
}

/** Puts at `to` the image of `a AND b`. */
export function andPairs(s: Int32Array, to: number, a: number, b: number): void {
  const a00 = s[a] as number;
  const a01 = s[a + 1] as number;
  const a10 = s[a + 2] as number;
  const a11 = s[a + 3] as number;
  const b00 = s[b] as number;
  const b01 = s[b + 1] as number;
  const b10 = s[b + 2] as number;
  const b11 = s[b + 3] as number;
  putImage(
    s,
    to,
    a00 | b00 | (a01 & b10) | (a10 & b01),
    (a01 & (b01 | b11)) | (a11 & b01),
    (a10 & (b10 | b11)) | (a11 & b10),
    a11 & b11,
    (s[a + 4] as number) | (s[b + 4] as number),
    (s[a + 5] as number) | (s[b + 5] as number),
  );
}

/** Puts at `to` the image of `a OR b`. */
export function orPairs(s: Int32Array, to: number, a: number, b: number): void {
  const a00 = s[a] as number;
  const a01 = s[a + 1] as number;
  const a10 = s[a + 2] as number;
  const a11 = s[a + 3] as number;
  const b00 = s[b] as number;
  const b01 = s[b + 1] as number;
  const b10 = s[b + 2] as number;
  const b11 = s[b + 3] as number;
  putImage(
    s,
    to,
    a00 & b00,
    (a01 & (b01 | b00)) | (a00 & b01),
    (a10 & (b10 | b00)) | (a00 & b10),
    a11 | b11 | (a01 & b10) | (a10 & b01),
    (s[a + 4] as number) | (s[b + 4] as number),
    (s[a + 5] as number) | (s[b + 5] as number),
  );
}

/** Puts at `to` the image of `a XOR b`. */
export function xorPairs(s: Int32Array, to: number, a: number, b: number): void {
  const a00 = s[a] as number;
  const a01 = s[a + 1] as number;
  const a10 = s[a + 2] as number;
  const a11 = s[a + 3] as number;
  const b00 = s[b] as number;
  const b01 = s[b + 1] as number;
  const b10 = s[b + 2] as number;
  const b11 = s[b + 3] as number;
  putImage(
    s,
    to,
    (a00 & b00) | (a01 & b01) | (a10 & b10) | (a11 & b11),
    (a00 & b01) | (a01 & b00) | (a10 & b11) | (a11 & b10),
    (a00 & b10) | (a10 & b00) | (a01 & b11) | (a11 & b01),
    (a00 & b11) | (a11 & b00) | (a01 & b10) | (a10 & b01),
    (s[a + 4] as number) | (s[b + 4] as number),
    (s[a + 5] as number) | (s[b + 5] as number),
  );
}

/** Puts at `to` the image of the choice that `select` makes between `low` and `high`. */
export function muxPairs(s: Int32Array, to: number, select: number, low: number, high: number): void {
  const s00 = s[select] as number;
  const s01 = s[select + 1] as number;
  const s10 = s[select + 2] as number;
  const s11 = s[select + 3] as number;
  const l00 = s[low] as number;
  const l01 = s[low + 1] as number;
  const l10 = s[low + 2] as number;
  const l11 = s[low + 3] as number;
  const h00 = s[high] as number;
  const h01 = s[high + 1] as number;
  const h10 = s[high + 2] as number;
  const h11 = s[high + 3] as number;
  // Where healthy and actual choice differ, one bit of the pair comes from the one input and one from the other.
  const healthyLow0 = s01 & (l00 | l01);
  const healthyLow1 = s01 & (l10 | l11);
  const healthyHigh0 = s10 & (h00 | h01);
  const healthyHigh1 = s10 & (h10 | h11);
  const actualHigh0 = h00 | h10;
  const actualHigh1 = h01 | h11;
  const actualLow0 = l00 | l10;
  const actualLow1 = l01 | l11;
  const picksLow = s00 | s10;
  const picksHigh = s01 | s11;
  const unsure = picksLow & picksHigh;
  putImage(
    s,
    to,
    (s00 & l00) | (s11 & h00) | (healthyLow0 & actualHigh0) | (healthyHigh0 & actualLow0),
    (s00 & l01) | (s11 & h01) | (healthyLow0 & actualHigh1) | (healthyHigh0 & actualLow1),
    (s00 & l10) | (s11 & h10) | (healthyLow1 & actualHigh0) | (healthyHigh1 & actualLow0),
    (s00 & l11) | (s11 & h11) | (healthyLow1 & actualHigh1) | (healthyHigh1 & actualLow1),
    (unsure & (s[select + 4] as number)) |
      (picksLow & (s[low + 4] as number)) |
      (picksHigh & (s[high + 4] as number)),
    (unsure & (s[select + 5] as number)) |
      (picksLow & (s[low + 5] as number)) |
      (picksHigh & (s[high + 5] as number)),
  );
}

/** Stores a set; keeps the reasons to vary only where the actual bit does. */
function putImage(
  s: Int32Array,
  to: number,
  same0: number,
  became1: number,
  became0: number,
  same1: number,
  pulse: number,
  loop: number,
): void {
  const varies = (same0 | became0) & (became1 | same1);
  s[to] = same0;
  s[to + 1] = became1;
  s[to + 2] = became0;
  s[to + 3] = same1;
  s[to + 4] = varies & pulse;
  s[to + 5] = varies & loop;
}

/** Phases in which the actual bit can be both 0 and 1. */
export function variesIn(s: Int32Array, a: number): number {
  return ((s[a] as number) | (s[a + 2] as number)) & ((s[a + 1] as number) | (s[a + 3] as number));
}

/** Phases in which the information can be wrong. */
export function canBeWrongIn(s: Int32Array, a: number): number {
  return (s[a + 1] as number) | (s[a + 2] as number);
}

/** The set's union over the given phases, as bits of `pairBit`. */
export function unionOfPairs(s: Int32Array, a: number, phases: number): number {
  let union = 0;
  for (let p = 0; p < pairPlanes; p += 1) if ((s[a + p] as number) & phases) union |= 1 << p;
  return union;
}

/** True if the actual bit of a union is always `level`. */
export function alwaysActual(union: number, level: 0 | 1): boolean {
  return (union & (level === 1 ? pairBit.same0 | pairBit.became0 : pairBit.became1 | pairBit.same1)) === 0;
}

/** True if the actual bit of a union can be both 0 and 1. */
export function varies(union: number): boolean {
  return !alwaysActual(union, 0) && !alwaysActual(union, 1);
}

/** True if a pair of the union differs in its bits. */
export function canBeWrong(union: number): boolean {
  return (union & (pairBit.became1 | pairBit.became0)) !== 0;
}
