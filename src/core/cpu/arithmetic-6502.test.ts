import { describe, expect, it } from "vitest";
import { add6502, carry, decimal, negative, overflow, subtract6502, zero } from "./arithmetic-6502.js";

const signed = (byte: number): number => (byte < 0x80 ? byte : byte - 0x100);

describe("the arithmetic of the 6502", () => {
  it("has in binary the flags that the numbers give", () => {
    const wrong: string[] = [];
    const flags = (exact: number, exactSigned: number, hasCarry: boolean): number =>
      (hasCarry ? carry : 0) |
      ((exact & 0xff) === 0 ? zero : 0) |
      (exact & negative) |
      (exactSigned < -128 || exactSigned > 127 ? overflow : 0);
    for (let a = 0; a < 256; a += 1) {
      for (let b = 0; b < 256; b += 1) {
        for (const c of [0, 1]) {
          const sum = add6502(a, b, c);
          const difference = subtract6502(a, b, c);
          const less = a - b - 1 + c;
          if (sum.p !== flags(a + b + c, signed(a) + signed(b) + c, a + b + c > 255))
            wrong.push(`${a}+${b}+${c}`);
          if (difference.p !== flags(less, signed(a) - signed(b) - 1 + c, less >= 0))
            wrong.push(`${a}-${b}-${c}`);
          if (sum.a !== (a + b + c) % 256 || difference.a !== (less + 512) % 256)
            wrong.push(`value ${a} ${b}`);
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  it("adds and subtracts decimal numbers", () => {
    const packed = (number: number): number => Math.floor(number / 10) * 16 + (number % 10);
    for (let a = 0; a < 100; a += 1) {
      for (let b = 0; b < 100; b += 1) {
        for (const c of [0, carry]) {
          const sum = add6502(packed(a), packed(b), decimal | c);
          expect(sum.a).toBe(packed((a + b + c) % 100));
          expect(sum.p & carry).toBe(a + b + c > 99 ? carry : 0);
          const difference = subtract6502(packed(a), packed(b), decimal | c);
          expect(difference.a).toBe(packed((a - b - 1 + c + 100) % 100));
          expect(difference.p & carry).toBe(a - b - 1 + c >= 0 ? carry : 0);
        }
      }
    }
  });
});
