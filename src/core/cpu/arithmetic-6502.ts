/** Flags of the 6502, by their bit in P. */
export const carry = 0x01;
export const zero = 0x02;
export const interruptsOff = 0x04;
export const decimal = 0x08;
/** Bits 5 and 4, which exist only in what is pushed. */
export const pushedOnly = 0x30;
export const overflow = 0x40;
export const negative = 0x80;

/** Accumulator and flags after an addition or subtraction. */
export interface Sum6502 {
  readonly a: number;
  readonly p: number;
}

const touched = carry | zero | overflow | negative;

/**
 * ADC. In decimal mode the NMOS chip takes Z from the binary sum, N and V from the sum before its high digit is
 * corrected. Source: common knowledge of the NMOS chip, from memory; for valid digits the sum itself is checked.
 */
export function add6502(a: number, value: number, p: number): Sum6502 {
  const carryIn = p & carry;
  const binary = a + value + carryIn;
  if ((p & decimal) === 0) {
    return {
      a: binary & 0xff,
      p: withFlags(p, binary > 0xff, binary, binary, (a ^ binary) & (value ^ binary)),
    };
  }
  let low = (a & 0x0f) + (value & 0x0f) + carryIn;
  if (low > 9) low = ((low + 6) & 0x0f) + 0x10;
  const early = (a & 0xf0) + (value & 0xf0) + low;
  const sum = early > 0x9f ? early + 0x60 : early;
  return { a: sum & 0xff, p: withFlags(p, sum > 0xff, binary, early, (a ^ early) & (value ^ early)) };
}

/** SBC. In decimal mode all flags of the NMOS chip are those of the binary subtraction. */
export function subtract6502(a: number, value: number, p: number): Sum6502 {
  const borrow = (p & carry) === 0 ? 1 : 0;
  const binary = a - value - borrow;
  const flags = withFlags(p, binary >= 0, binary, binary, (a ^ value) & (a ^ binary));
  if ((p & decimal) === 0) return { a: binary & 0xff, p: flags };
  let low = (a & 0x0f) - (value & 0x0f) - borrow;
  if (low < 0) low = ((low - 6) & 0x0f) - 0x10;
  let difference = (a & 0xf0) - (value & 0xf0) + low;
  if (difference < 0) difference -= 0x60;
  return { a: difference & 0xff, p: flags };
}

/** `p` with C, Z from bits 0 to 7 of a value, N from bit 7 of one, V from bit 7 of one. */
function withFlags(
  p: number,
  hasCarry: boolean,
  zeroFrom: number,
  negativeFrom: number,
  overflowFrom: number,
): number {
  return (
    (p & ~touched) |
    (hasCarry ? carry : 0) |
    ((zeroFrom & 0xff) === 0 ? zero : 0) |
    (negativeFrom & 0x80) |
    ((overflowFrom & 0x80) >> 1)
  );
}
