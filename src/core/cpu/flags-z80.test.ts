import { describe, expect, it } from "vitest";
import {
  add8,
  carryFlag,
  decimalAdjust,
  decrement8,
  halfFlag,
  increment8,
  logicFlags,
  parity,
  parityFlag,
  rotate8,
  signFlag,
  subtract8,
  subtractFlag,
  zeroFlag,
} from "./flags-z80.js";

const signed = (byte: number): number => (byte < 0x80 ? byte : byte - 0x100);

/** Flags told from the operands as numbers: signed for overflow, by the bits that do not add up for the half carry. */
function flagsOf(a: number, b: number, exact: number, exactSigned: number, n: number): number {
  const value = exact & 0xff;
  return (
    (value & signFlag) |
    (value === 0 ? zeroFlag : 0) |
    ((a ^ b ^ value) & halfFlag) |
    (exactSigned < -128 || exactSigned > 127 ? parityFlag : 0) |
    n |
    (exact < 0 || exact > 255 ? carryFlag : 0)
  );
}

describe("the arithmetic of the Z80", () => {
  it("adds and subtracts every two bytes with the flags that the numbers give", () => {
    const wrong: string[] = [];
    for (let a = 0; a < 256; a += 1) {
      for (let b = 0; b < 256; b += 1) {
        for (const c of [0, 1]) {
          const sum = add8(a, b, c);
          const difference = subtract8(a, b, c);
          if (sum.f !== flagsOf(a, b, a + b + c, signed(a) + signed(b) + c, 0)) wrong.push(`${a}+${b}+${c}`);
          if (difference.f !== flagsOf(a, b, a - b - c, signed(a) - signed(b) - c, subtractFlag))
            wrong.push(`${a}-${b}-${c}`);
          if (sum.value !== (a + b + c) % 256 || difference.value !== (a - b - c + 512) % 256)
            wrong.push(`value ${a} ${b} ${c}`);
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  it("counts up and down as adding and subtracting one, but leaves C", () => {
    for (let a = 0; a < 256; a += 1) {
      for (const c of [0, carryFlag]) {
        expect(increment8(a, c)).toEqual({ value: (a + 1) & 255, f: (add8(a, 1, 0).f & ~carryFlag) | c });
        expect(decrement8(a, c)).toEqual({
          value: (a + 255) & 255,
          f: (subtract8(a, 1, 0).f & ~carryFlag) | c,
        });
      }
    }
  });

  it("adjusts the sum and the difference of any two decimal numbers", () => {
    const packed = (number: number): number => Math.floor(number / 10) * 16 + (number % 10);
    for (let a = 0; a < 100; a += 1) {
      for (let b = 0; b < 100; b += 1) {
        const sum = add8(packed(a), packed(b), 0);
        const plus = decimalAdjust(sum.value, sum.f);
        expect(plus.value).toBe(packed((a + b) % 100));
        expect(plus.f & carryFlag).toBe(a + b > 99 ? carryFlag : 0);
        const difference = subtract8(packed(a), packed(b), 0);
        const minus = decimalAdjust(difference.value, difference.f);
        expect(minus.value).toBe(packed((a - b + 100) % 100));
        expect(minus.f & carryFlag).toBe(a < b ? carryFlag : 0);
      }
    }
  });

  it("takes parity from the number of ones", () => {
    for (let a = 0; a < 256; a += 1) {
      const ones = a.toString(2).replaceAll("0", "").length;
      expect(parity(a) !== 0).toBe(ones % 2 === 0);
      expect(logicFlags(a, 0) & parityFlag).toBe(parity(a));
    }
  });

  it("turns and shifts, there and back", () => {
    for (let a = 0; a < 256; a += 1) {
      for (const c of [0, carryFlag]) {
        expect(rotate8(1, rotate8(0, a, c).value, 0).value).toBe(a);
        const left = rotate8(2, a, c);
        expect(rotate8(3, left.value, left.f).value).toBe(a);
        expect(rotate8(4, a, c).value).toBe((a * 2) % 256);
        expect(rotate8(5, a, c).value).toBe(Math.floor(signed(a) / 2) & 255);
        expect(rotate8(7, a, c).value).toBe(Math.floor(a / 2));
        expect(rotate8(7, a, c).f & carryFlag).toBe(a % 2);
      }
    }
    expect(() => rotate8(6, 1, 0)).toThrow(RangeError);
  });
});
