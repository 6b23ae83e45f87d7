/** Flags of the Z80, by their bit in F. Bits 5 and 3, which the maker leaves undefined, read 0 here. */
export const carryFlag = 0x01;
/** The last operation was a subtraction. */
export const subtractFlag = 0x02;
/** Parity or overflow. */
export const parityFlag = 0x04;
export const halfFlag = 0x10;
export const zeroFlag = 0x40;
export const signFlag = 0x80;
/** All flags that exist. */
export const allFlags = 0xd7;

/** A byte and the flags that came with it. */
export interface ByteResult {
  readonly value: number;
  readonly f: number;
}

/** S and Z of a byte. */
export function signZero(value: number): number {
  return (value & signFlag) | (value === 0 ? zeroFlag : 0);
}

/** P for even parity. */
export function parity(value: number): number {
  let folded = value ^ (value >> 4);
  folded ^= folded >> 2;
  folded ^= folded >> 1;
  return (folded & 1) === 0 ? parityFlag : 0;
}

/** a + b + carry (0 or 1), with all flags. */
export function add8(a: number, b: number, carryIn: number): ByteResult {
  const sum = a + b + carryIn;
  const value = sum & 0xff;
  const half = (a & 15) + (b & 15) + carryIn > 15 ? halfFlag : 0;
  const overflow = (a ^ value) & (b ^ value) & 0x80 ? parityFlag : 0;
  return { value, f: signZero(value) | half | overflow | (sum > 0xff ? carryFlag : 0) };
}

/** a - b - carry (0 or 1), with all flags. */
export function subtract8(a: number, b: number, carryIn: number): ByteResult {
  const difference = a - b - carryIn;
  const value = difference & 0xff;
  const half = (a & 15) - (b & 15) - carryIn < 0 ? halfFlag : 0;
  const overflow = (a ^ b) & (a ^ value) & 0x80 ? parityFlag : 0;
  return { value, f: signZero(value) | subtractFlag | half | overflow | (difference < 0 ? carryFlag : 0) };
}

/** Flags after AND (with H), OR or XOR (without). */
export function logicFlags(value: number, half: number): number {
  return signZero(value) | parity(value) | half;
}

/** INC of a byte; C stays as in `f`. */
export function increment8(value: number, f: number): ByteResult {
  const next = (value + 1) & 0xff;
  const half = (value & 15) === 15 ? halfFlag : 0;
  const overflow = value === 0x7f ? parityFlag : 0;
  return { value: next, f: (f & carryFlag) | signZero(next) | half | overflow };
}

/** DEC of a byte; C stays as in `f`. */
export function decrement8(value: number, f: number): ByteResult {
  const next = (value - 1) & 0xff;
  const half = (value & 15) === 0 ? halfFlag : 0;
  const overflow = value === 0x80 ? parityFlag : 0;
  return { value: next, f: (f & carryFlag) | subtractFlag | signZero(next) | half | overflow };
}

/**
 * Rotations and shifts by their number in the opcode: RLC, RRC, RL, RR, SLA, SRA, -, SRL. Throws `RangeError` for 6,
 * which the maker does not define.
 */
export function rotate8(kind: number, value: number, f: number): ByteResult {
  const carryIn = f & carryFlag;
  const [next, out] = rotated(kind, value, carryIn);
  return { value: next, f: signZero(next) | parity(next) | out };
}

function rotated(kind: number, value: number, carryIn: number): readonly [number, number] {
  const high = value >> 7;
  const low = value & 1;
  switch (kind) {
    case 0:
      return [((value << 1) | high) & 0xff, high];
    case 1:
      return [(value >> 1) | (low << 7), low];
    case 2:
      return [((value << 1) | carryIn) & 0xff, high];
    case 3:
      return [(value >> 1) | (carryIn << 7), low];
    case 4:
      return [(value << 1) & 0xff, high];
    case 5:
      return [(value >> 1) | (value & 0x80), low];
    case 7:
      return [value >> 1, low];
    default:
      throw new RangeError(`rotation must be 0 to 5 or 7, got ${kind}`);
  }
}

/** DAA: corrects A after an addition or subtraction of packed decimal digits. */
export function decimalAdjust(a: number, f: number): ByteResult {
  const isSubtract = (f & subtractFlag) !== 0;
  const hasHalf = (f & halfFlag) !== 0;
  const hasCarry = (f & carryFlag) !== 0;
  const low = a & 15;
  let correction = 0;
  let carryOut = hasCarry;
  if (hasHalf || low > 9) correction |= 0x06;
  if (hasCarry || a > 0x99) {
    correction |= 0x60;
    carryOut = true;
  }
  const value = (isSubtract ? a - correction : a + correction) & 0xff;
  const half = (isSubtract ? hasHalf && low < 6 : low > 9) ? halfFlag : 0;
  return {
    value,
    f: signZero(value) | parity(value) | half | (f & subtractFlag) | (carryOut ? carryFlag : 0),
  };
}
