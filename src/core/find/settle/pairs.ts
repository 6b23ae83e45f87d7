import { Level, levelMask, partTimeFlag, wrongFlag } from "./value.js";

/**
 * Sets of (healthy, actual) level pairs. Bit 0: (0,0), bit 1: healthy 0 actual 1, bit 2: healthy 1 actual 0,
 * bit 3: (1,1). A truth function applied to such sets tells both what its output shows and whether its
 * information can be wrong: any pair off the diagonal. Two more bits say why the actual level varies:
 * bit 4 because something pulses, bit 5 because something moves now and then.
 *
 * The set of a function of several inputs is the image of the product of their sets, so inputs are taken as
 * independent. It is exact for expressions that read each pin once; otherwise it may call a right output wrong.
 */
export const pairsAll = 15;
export const pulsingBit = 16;
export const loopingBit = 32;
const flagBits = pulsingBit | loopingBit;

const healthyOf = (pair: number): number => pair >> 1;
const actualOf = (pair: number): number => pair & 1;

function imageOfTwo(f: (a: number, b: number) => number): Uint8Array {
  const table = new Uint8Array(256);
  for (let left = 0; left < 16; left += 1) {
    for (let right = 0; right < 16; right += 1) {
      let image = 0;
      for (let p = 0; p < 4; p += 1) {
        if (!((left >> p) & 1)) continue;
        for (let q = 0; q < 4; q += 1) {
          if (!((right >> q) & 1)) continue;
          image |= 1 << ((f(healthyOf(p), healthyOf(q)) << 1) | f(actualOf(p), actualOf(q)));
        }
      }
      table[(left << 4) | right] = image;
    }
  }
  return table;
}

const andTable = imageOfTwo((a, b) => a & b);
const orTable = imageOfTwo((a, b) => a | b);
const xorTable = imageOfTwo((a, b) => a ^ b);
const notTable = Uint8Array.from({ length: 16 }, (_, set) => {
  let image = 0;
  for (let p = 0; p < 4; p += 1) if ((set >> p) & 1) image |= 1 << (3 - p);
  return image;
});
const muxTable = (() => {
  const table = new Uint8Array(4096);
  for (let select = 0; select < 16; select += 1) {
    for (let low = 0; low < 16; low += 1) {
      for (let high = 0; high < 16; high += 1) {
        let image = 0;
        for (let s = 0; s < 4; s += 1) {
          if (!((select >> s) & 1)) continue;
          for (let p = 0; p < 4; p += 1) {
            if (!((low >> p) & 1)) continue;
            for (let q = 0; q < 4; q += 1) {
              if (!((high >> q) & 1)) continue;
              const healthy = healthyOf(s) ? healthyOf(q) : healthyOf(p);
              const actual = actualOf(s) ? actualOf(q) : actualOf(p);
              image |= 1 << ((healthy << 1) | actual);
            }
          }
        }
        table[(select << 8) | (low << 4) | high] = image;
      }
    }
  }
  return table;
})();

/** True if the actual level can be both 0 and 1. */
export function varies(pairs: number): boolean {
  return (pairs & 0b0101) !== 0 && (pairs & 0b1010) !== 0;
}

/** True if the actual level is always `level` (0 or 1). */
export function alwaysActual(pairs: number, level: 0 | 1): boolean {
  return level === 1 ? (pairs & 0b0101) === 0 : (pairs & 0b1010) === 0;
}

/** True if the information can be wrong. */
export function canBeWrong(pairs: number): boolean {
  return (pairs & 0b0110) !== 0;
}

function withFlags(image: number, flags: number): number {
  return varies(image) ? image | flags : image;
}

const flagsOf = (pairs: number): number => pairs & flagBits;

export function notPairs(a: number): number {
  return (notTable[a & pairsAll] as number) | flagsOf(a);
}

export function andPairs(a: number, b: number): number {
  return withFlags(andTable[((a & pairsAll) << 4) | (b & pairsAll)] as number, flagsOf(a | b));
}

export function orPairs(a: number, b: number): number {
  return withFlags(orTable[((a & pairsAll) << 4) | (b & pairsAll)] as number, flagsOf(a | b));
}

export function xorPairs(a: number, b: number): number {
  return withFlags(xorTable[((a & pairsAll) << 4) | (b & pairsAll)] as number, flagsOf(a | b));
}

export function muxPairs(select: number, low: number, high: number): number {
  const image = muxTable[((select & pairsAll) << 8) | ((low & pairsAll) << 4) | (high & pairsAll)] as number;
  if (alwaysActual(select, 0)) return withFlags(image, flagsOf(low));
  if (alwaysActual(select, 1)) return withFlags(image, flagsOf(high));
  return withFlags(image, flagsOf(select | low | high));
}

/** How an input reads a net nobody drives: a TTL input acts as high, a MOS input may read anything. */
export type InputReading = "ttl" | "mos";

const zero = 1;
const one = 2;

function levelsRead(level: number, reading: InputReading): number {
  switch (level) {
    case Level.low:
    case Level.fightLow:
    case Level.railAbsent:
      return zero;
    case Level.high:
    case Level.railGood:
    case Level.railHigh:
    case Level.railRippled:
    case Level.railLow:
      return one;
    case Level.floating:
      return reading === "ttl" ? one : zero | one;
    default:
      return zero | one;
  }
}

/** Pairs by [reading (ttl 0, mos 1)][healthy level][value], flattened: 2 × 16 × 64 bytes. */
export const pairsOfInput = (() => {
  const table = new Uint8Array(2 * 16 * 64);
  for (const [r, reading] of (["ttl", "mos"] as const).entries()) {
    for (let healthyLevel = 0; healthyLevel < 16; healthyLevel += 1) {
      for (let value = 0; value < 64; value += 1) {
        if (value & partTimeFlag) continue;
        const level = value & levelMask;
        const healthy = levelsRead(healthyLevel, reading);
        const actual = levelsRead(level, reading);
        let pairs = 0;
        for (const h of [0, 1]) {
          for (const a of [0, 1]) {
            const possible = ((healthy >> h) & 1) === 1 && ((actual >> a) & 1) === 1;
            if (possible && (value & wrongFlag || h === a)) pairs |= 1 << ((h << 1) | a);
          }
        }
        if (pairs === 0) pairs = actual === one ? 8 : actual === zero ? 1 : 9;
        if (varies(pairs)) {
          if (level === Level.pulsing || level === Level.fightPulsing || level === Level.unsettled)
            pairs |= pulsingBit;
          if (level === Level.looping) pairs |= loopingBit;
        }
        table[(r << 10) | (healthyLevel << 6) | value] = pairs;
      }
    }
  }
  return table;
})();

/** Value of an output whose function gives these pairs. */
export function valueOfPairs(pairs: number): number {
  const wrong = canBeWrong(pairs) ? wrongFlag : 0;
  if (!varies(pairs)) return (alwaysActual(pairs, 1) ? Level.high : Level.low) | wrong;
  if (pairs & pulsingBit) return Level.pulsing | wrong;
  if (pairs & loopingBit) return Level.looping | wrong;
  return Level.steady | wrong;
}
