import type { Encoded, Reference } from "./emitter.js";

/** An instruction as bytes, with the time it takes. */
export interface InstructionZ80 {
  readonly encoded: Encoded;
  /** Clock cycles; of a conditional jump the longer case. */
  readonly cycles: number;
}

const registers = ["b", "c", "d", "e", "h", "l", "(hl)", "a"];
const pairs = ["bc", "de", "hl", "sp"];
const conditions = ["nz", "z", "nc", "c", "po", "pe", "p", "m"];
const arithmetic = ["add", "adc", "sub", "sbc", "and", "xor", "or", "cp"];
const rotations = ["rlc", "rrc", "rl", "rr", "sla", "sra", "", "srl"];
const bitOperations = ["", "bit", "res", "set"];

const plain: Readonly<Record<string, readonly [number[], number]>> = {
  nop: [[0x00], 4],
  di: [[0xf3], 4],
  exx: [[0xd9], 4],
  cpl: [[0x2f], 4],
  "ex af,af'": [[0x08], 4],
  "ld sp,hl": [[0xf9], 6],
  "ld r,a": [[0xed, 0x4f], 9],
  "ld a,(bc)": [[0x0a], 7],
  "ld a,(de)": [[0x1a], 7],
  "ld (bc),a": [[0x02], 7],
  "ld (de),a": [[0x12], 7],
  "jp (hl)": [[0xe9], 4],
  "jp (ix)": [[0xdd, 0xe9], 8],
  "jp (iy)": [[0xfd, 0xe9], 8],
};

/**
 * Encodes one instruction in the maker's notation, lower case, without blanks behind the comma: `ld a,(hl)`,
 * `jp nz,loop`, `ld b,(ix+3)`, numbers decimal or as `0E0h`. Knows those that a self-test uses, which need no stack.
 * Throws `RangeError` for all others. Opcodes and times after *Z80 CPU Technical Manual*, Zilog, 1977, from memory;
 * compared with two independent assemblers and with the processor core.
 */
export function encodeZ80(source: string): InstructionZ80 {
  const found = plain[source];
  if (found !== undefined) return { encoded: found[0], cycles: found[1] };
  const blank = source.indexOf(" ");
  const name = blank < 0 ? source : source.slice(0, blank);
  const operands = blank < 0 ? [] : source.slice(blank + 1).split(",");
  const [first = "", second, third] = operands;
  const encoded =
    name === "ld" && second !== undefined
      ? load(first, second)
      : (jump(name, first, second) ?? count(name, first, second) ?? operate(name, first, second));
  if (encoded === undefined || third !== undefined)
    throw new RangeError(`no self-test uses the instruction '${source}'`);
  return encoded;
}

function load(to: string, from: string): InstructionZ80 | undefined {
  const target = registers.indexOf(to);
  const origin = registers.indexOf(from);
  const isMemory = target === 6 || origin === 6;
  if (target >= 0 && origin >= 0 && !(target === 6 && origin === 6))
    return { encoded: [0x40 | (target << 3) | origin], cycles: isMemory ? 7 : 4 };
  const indexed = /^\(ix\+(\d+)\)$/.exec(from);
  if (indexed?.[1] !== undefined && target >= 0 && target !== 6)
    return { encoded: [0xdd, 0x46 | (target << 3), Number(indexed[1])], cycles: 19 };
  if (from.startsWith("(") && to === "a") return { encoded: [0x3a, ...word(inner(from))], cycles: 13 };
  if (to.startsWith("(") && target < 0 && from === "a")
    return { encoded: [0x32, ...word(inner(to))], cycles: 13 };
  if (from.startsWith("(")) return undefined;
  if (target >= 0) return { encoded: [0x06 | (target << 3), byte(from)], cycles: target === 6 ? 10 : 7 };
  const pair = pairs.indexOf(to);
  if (pair >= 0) return { encoded: [0x01 | (pair << 4), ...word(from)], cycles: 10 };
  if (to === "ix" || to === "iy")
    return { encoded: [to === "ix" ? 0xdd : 0xfd, 0x21, ...word(from)], cycles: 14 };
  return undefined;
}

function jump(name: string, first: string, second: string | undefined): InstructionZ80 | undefined {
  const condition = second === undefined ? -1 : conditions.indexOf(first);
  const target = second ?? first;
  if (second !== undefined && condition < 0) return undefined;
  if (name === "jp")
    return { encoded: [condition < 0 ? 0xc3 : 0xc2 | (condition << 3), ...word(target)], cycles: 10 };
  if (name === "jr" && condition < 4)
    return { encoded: [condition < 0 ? 0x18 : 0x20 | (condition << 3), offset(target)], cycles: 12 };
  if (name === "djnz") return { encoded: [0x10, offset(target)], cycles: 13 };
  return undefined;
}

function count(name: string, first: string, second: string | undefined): InstructionZ80 | undefined {
  if (name === "add" && second !== undefined && pairs.includes(second)) {
    const low = 0x09 | (pairs.indexOf(second) << 4);
    if (first === "hl") return { encoded: [low], cycles: 11 };
    // In this group the place of HL is taken by the index register itself.
    if (first === "ix" && second !== "hl") return { encoded: [0xdd, low], cycles: 15 };
  }
  if (name !== "inc" && name !== "dec") return undefined;
  const register = registers.indexOf(first);
  if (register >= 0 && register !== 6)
    return { encoded: [(name === "inc" ? 0x04 : 0x05) | (register << 3)], cycles: 4 };
  const pair = pairs.indexOf(first);
  return pair < 0 ? undefined : { encoded: [(name === "inc" ? 0x03 : 0x0b) | (pair << 4)], cycles: 6 };
}

function operate(name: string, first: string, second: string | undefined): InstructionZ80 | undefined {
  if (name === "in" && first === "a" && second !== undefined)
    return { encoded: [0xdb, byte(inner(second))], cycles: 11 };
  if (name === "out" && second === "a") return { encoded: [0xd3, byte(inner(first))], cycles: 11 };
  const group = arithmetic.indexOf(name);
  const operand = second === undefined ? first : first === "a" ? second : "";
  if (group >= 0 && operand !== "") return arithmeticOn(group, operand);
  const rotation = rotations.indexOf(name);
  const register = registers.indexOf(second ?? first);
  if (register < 0 || register === 6) return undefined;
  if (rotation >= 0 && second === undefined)
    return { encoded: [0xcb, (rotation << 3) | register], cycles: 8 };
  const operation = bitOperations.indexOf(name);
  if (operation > 0 && /^[0-7]$/.test(first))
    return { encoded: [0xcb, (operation << 6) | (Number(first) << 3) | register], cycles: 8 };
  return undefined;
}

function arithmeticOn(group: number, operand: string): InstructionZ80 {
  const register = registers.indexOf(operand);
  if (register >= 0) return { encoded: [0x80 | (group << 3) | register], cycles: register === 6 ? 7 : 4 };
  const indexed = /^\(ix\+(\d+)\)$/.exec(operand);
  if (indexed?.[1] !== undefined)
    return { encoded: [0xdd, 0x86 | (group << 3), Number(indexed[1])], cycles: 19 };
  return { encoded: [0xc6 | (group << 3), byte(operand)], cycles: 7 };
}

function inner(operand: string): string {
  return operand.slice(1, -1);
}

function word(text: string): Encoded {
  const value = numberOf(text);
  if (value !== undefined) return [value & 0xff, value >> 8];
  const [label = "", plus] = text.split("+");
  return [{ kind: "word", label, ...(plus === undefined ? {} : { plus: Number(plus) }) }];
}

function offset(label: string): Reference {
  return { kind: "offset", label };
}

function byte(text: string): number {
  const value = numberOf(text);
  if (value === undefined || value > 0xff) throw new RangeError(`'${text}' is no byte`);
  return value;
}

function numberOf(text: string): number | undefined {
  if (/^\d+$/.test(text)) return Number(text);
  return /^\d[0-9A-F]*h$/.test(text) ? Number.parseInt(text.slice(0, -1), 16) : undefined;
}

/** A number in the maker's notation: `0E0h`. */
export function hexZ80(value: number, digits: number): string {
  const text = value.toString(16).toUpperCase().padStart(digits, "0");
  return `${/^\d/.test(text) ? "" : "0"}${text}h`;
}
