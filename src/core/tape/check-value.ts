import { z } from "zod";

const hexNumber = z
  .string()
  .regex(/^0x[0-9a-f]{1,8}$/i)
  .describe("A hexadecimal number such as `0x1021`.");

/** How the check value of a block is worked out. */
export const checkKindSchema = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("sum8").describe("Sum of all bytes, lowest 8 bits.") }),
  z.strictObject({ kind: z.literal("negative-sum8").describe("What makes the sum of all bytes 0.") }),
  z.strictObject({ kind: z.literal("xor8").describe("Exclusive or of all bytes.") }),
  z.strictObject({ kind: z.literal("sum16").describe("Sum of all bytes, lowest 16 bits.") }),
  z.strictObject({
    kind: z.literal("crc").describe("Cyclic redundancy check, by its parameters."),
    width: z.int().min(8).max(32).describe("Bits of the check value: 8, 16, 24 or 32."),
    polynomial: hexNumber,
    initial: hexNumber,
    reflectIn: z.boolean().describe("True if bytes go in lowest bit first."),
    reflectOut: z.boolean().describe("True if the register comes out lowest bit first."),
    finalXor: hexNumber,
  }),
]);

/** How the check value of a block is worked out. */
export type CheckKind = z.infer<typeof checkKindSchema>;

/** Bytes that a check value takes. */
export function checkBytes(check: CheckKind): number {
  if (check.kind === "crc") return Math.ceil(check.width / 8);
  return check.kind === "sum16" ? 2 : 1;
}

/**
 * The check value of some bytes, as a whole number. The parameters of a CRC mean what they mean in R. N. Williams, "A
 * Painless Guide to CRC Error Detection Algorithms", 1993 (the Rocksoft model).
 */
export function checkValue(check: CheckKind, bytes: ArrayLike<number>): number {
  if (check.kind === "crc") return crc(check, bytes);
  let sum = 0;
  for (let i = 0; i < bytes.length; i += 1) {
    const byte = bytes[i] ?? 0;
    sum = check.kind === "xor8" ? sum ^ byte : (sum + byte) & 0xffff;
  }
  if (check.kind === "sum16" || check.kind === "xor8") return sum;
  return check.kind === "sum8" ? sum & 0xff : -sum & 0xff;
}

function crc(check: Extract<CheckKind, { kind: "crc" }>, bytes: ArrayLike<number>): number {
  const { width } = check;
  // Worked in the upper bits of 32, so that every width shifts out at the same place.
  const shift = 32 - width;
  const polynomial = Number(check.polynomial) << shift;
  let register = Number(check.initial) << shift;
  for (let i = 0; i < bytes.length; i += 1) {
    const byte = bytes[i] ?? 0;
    register ^= (check.reflectIn ? reflect(byte, 8) : byte) << 24;
    for (let bit = 0; bit < 8; bit += 1) {
      register = register & 0x80000000 ? (register << 1) ^ polynomial : register << 1;
    }
  }
  const value = register >>> shift;
  const out = check.reflectOut ? reflect(value, width) : value;
  const mask = width === 32 ? 0xffffffff : (1 << width) - 1;
  return ((out ^ Number(check.finalXor)) & mask) >>> 0;
}

function reflect(value: number, bits: number): number {
  let mirrored = 0;
  for (let i = 0; i < bits; i += 1) mirrored |= ((value >>> i) & 1) << (bits - 1 - i);
  return mirrored >>> 0;
}

/** A whole number as bytes. */
export function numberBytes(value: number, count: number, order: "high-first" | "low-first"): number[] {
  const bytes = Array.from({ length: count }, (_, i) => Math.floor(value / 256 ** i) % 256);
  return order === "low-first" ? bytes : bytes.reverse();
}

/** The whole number that bytes stand for. */
export function bytesNumber(bytes: ArrayLike<number>, order: "high-first" | "low-first"): number {
  const list = Array.from(bytes);
  if (order === "low-first") list.reverse();
  return list.reduce((value, byte) => value * 256 + byte, 0);
}
