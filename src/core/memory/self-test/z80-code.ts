import { Emitter } from "./emitter.js";
import type { SelfTestImage } from "./image.js";
import { encodeZ80, hexZ80 } from "./z80-instructions.js";

/** Z80 code in the making. There is no stack: a routine ends with a jump to the address in IY. */
export class CodeZ80 {
  readonly #emitter: Emitter;

  constructor(origin: number) {
    this.#emitter = new Emitter(origin);
  }

  /** Adds instructions, the comment at the first. */
  add(sources: string | readonly string[], comment?: string): void {
    const list = typeof sources === "string" ? [sources] : sources;
    for (const [k, source] of list.entries())
      this.#emitter.code(source, encodeZ80(source).encoded, k === 0 ? comment : undefined);
  }

  label(name: string, comment?: string): void {
    this.#emitter.label(name, comment);
  }

  /** Runs a routine and goes on behind it. */
  run(routine: string, comment?: string): void {
    const back = this.#emitter.fresh("back");
    this.add([`ld iy,${back}`, `jp ${routine}`], comment);
    this.label(back);
  }

  /** A name that no label has yet. */
  fresh(stem: string): string {
    return this.#emitter.fresh(stem);
  }

  bytes(values: readonly number[], comment?: string): void {
    this.#emitter.data(`defb ${values.map((value) => hexZ80(value, 2)).join(",")}`, values, comment);
  }

  word(value: number, comment?: string): void {
    this.#emitter.data(`defw ${hexZ80(value, 4)}`, [value & 0xff, value >> 8], comment);
  }

  /** Two bytes that hold the address of a label. */
  pointer(label: string, comment?: string): void {
    this.#emitter.data(`defw ${label}`, [{ kind: "word", label }], comment);
  }

  skipTo(address: number): void {
    this.#emitter.skipTo(address);
  }

  finish(bytes: number, fill: number): SelfTestImage {
    return this.#emitter.finish("z80", bytes, fill);
  }
}

/** Clock cycles of a list of instructions that run one after the other. */
export function cyclesOf(sources: readonly string[]): number {
  return sources.reduce((sum, source) => sum + encodeZ80(source).cycles, 0);
}

/** Instructions without effect but on A that take exactly so many cycles; `cycles` is 4, 7, 8, 11 or more than 13. */
export function idle(cycles: number): string[] {
  for (let slow = Math.floor(cycles / 13); slow >= 0; slow -= 1)
    for (let middle = 0; slow * 13 + middle * 7 <= cycles; middle += 1) {
      const rest = cycles - slow * 13 - middle * 7;
      if (rest % 4 !== 0 || rest < 0) continue;
      return [
        ...Array<string>(slow).fill("ld a,(0000h)"),
        ...Array<string>(middle).fill("ld a,0"),
        ...Array<string>(rest / 4).fill("nop"),
      ];
    }
  throw new RangeError(`no instructions take exactly ${cycles} cycles`);
}
