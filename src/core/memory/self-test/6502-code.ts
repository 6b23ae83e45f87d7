import { type Mode6502, opcodes6502 } from "../../cpu/opcodes-6502.js";
import { Emitter, type Encoded, type Reference } from "./emitter.js";
import type { SelfTestImage } from "./image.js";

/** An operand: a number, or a label with what is added to it. */
export type Operand6502 = number | { readonly label: string; readonly plus?: number };

/** Addressing modes as a generator asks for them; whether an address is in page zero follows from its value. */
type PlainMode = "implied" | "accumulator" | "#" | "at" | "at,x" | "at,y" | "(),y" | "relative";

const opcodeOf = new Map(
  opcodes6502.flatMap((opcode, number): [string, number][] =>
    opcode === undefined ? [] : [[`${opcode.name} ${opcode.mode}`, number]],
  ),
);

/** Writes 6502 instructions with their source text in the maker's notation, as every assembler reads it. */
export class Code6502 {
  readonly #emitter: Emitter;

  constructor(origin: number) {
    this.#emitter = new Emitter(origin);
  }

  /** Address of the next byte. */
  get address(): number {
    return this.#emitter.address;
  }

  label(name: string, comment?: string): void {
    this.#emitter.label(name, comment);
  }

  fresh(stem: string): string {
    return this.#emitter.fresh(stem);
  }

  /** An instruction without operand. */
  plain(...names: readonly string[]): void {
    for (const name of names) this.#add(name, "implied", undefined, undefined);
  }

  /** Shifts the accumulator. */
  shift(name: "ASL" | "LSR" | "ROL" | "ROR"): void {
    this.#add(name, "accumulator", undefined, undefined);
  }

  /** An instruction with a byte for operand. */
  byte(name: string, value: number, comment?: string): void {
    this.#add(name, "#", value, comment);
  }

  /** An instruction that works on an address, with an index register or without. */
  at(name: string, operand: Operand6502, index: "" | "x" | "y" = "", comment?: string): void {
    this.#add(name, index === "" ? "at" : `at,${index}`, operand, comment);
  }

  /** An instruction that works on what a pointer in page zero and Y point to. */
  through(name: string, pointer: number, comment?: string): void {
    this.#add(name, "(),y", pointer, comment);
  }

  /** A short branch. */
  branch(name: string, label: string, comment?: string): void {
    this.#add(name, "relative", { label }, comment);
  }

  jump(label: string, comment?: string): void {
    this.#add("JMP", "at", { label }, comment);
  }

  /** A table. */
  table(name: string, bytes: readonly (number | Reference)[], comment?: string): void {
    this.#emitter.label(name, comment);
    for (let k = 0; k < bytes.length; k += 8) {
      const row = bytes.slice(k, k + 8);
      const texts = row.map((value) => (typeof value === "number" ? hex(value, 2) : value.label));
      this.#emitter.data(`.byte ${texts.join(",")}`, row);
    }
  }

  /** The vectors: three words. */
  word(label: string, comment: string): void {
    this.#emitter.data(`.word ${label}`, [{ kind: "word", label }], comment);
  }

  skipTo(address: number): void {
    this.#emitter.skipTo(address);
  }

  finish(bytes: number, fill: number): SelfTestImage {
    return this.#emitter.finish("6502", bytes, fill);
  }

  #add(name: string, plain: PlainMode, operand: Operand6502 | undefined, comment: string | undefined): void {
    const isShort = typeof operand === "number" && operand < 0x100;
    const mode = modeOf(name, plain, isShort);
    const opcode = opcodeOf.get(`${name} ${mode}`);
    if (opcode === undefined) throw new RangeError(`the 6502 has no ${name} ${mode}`);
    this.#emitter.code(`${name}${textOf(mode, operand)}`, [opcode, ...bytesOf(mode, operand)], comment);
  }
}

function modeOf(name: string, plain: PlainMode, isShort: boolean): Mode6502 {
  switch (plain) {
    case "#":
      return "immediate";
    case "at":
      return isShort && name !== "JMP" ? "zero" : "absolute";
    case "at,x":
      return isShort ? "zero,x" : "absolute,x";
    case "at,y":
      return isShort && opcodeOf.has(`${name} zero,y`) ? "zero,y" : "absolute,y";
    case "(),y":
      return "(zero),y";
    default:
      return plain;
  }
}

function textOf(mode: Mode6502, operand: Operand6502 | undefined): string {
  if (operand === undefined) return mode === "accumulator" ? " A" : "";
  const isLong = mode.startsWith("absolute");
  const value =
    typeof operand === "number"
      ? hex(operand, isLong ? 4 : 2)
      : `${operand.label}${operand.plus === undefined ? "" : `+${operand.plus}`}`;
  if (mode === "immediate") return ` #${value}`;
  if (mode === "(zero),y") return ` (${value}),Y`;
  const index = mode.endsWith(",x") ? ",X" : mode.endsWith(",y") ? ",Y" : "";
  return ` ${value}${index}`;
}

function bytesOf(mode: Mode6502, operand: Operand6502 | undefined): Encoded {
  if (operand === undefined) return [];
  if (typeof operand === "number")
    return mode.startsWith("absolute") ? [operand & 0xff, operand >> 8] : [operand & 0xff];
  const kind = mode === "relative" ? "offset" : "word";
  return [{ kind, ...operand }];
}

function hex(value: number, digits: number): string {
  return `$${value.toString(16).toUpperCase().padStart(digits, "0")}`;
}
