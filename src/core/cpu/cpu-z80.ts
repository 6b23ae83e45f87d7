import { type Index, indexed, runBase } from "./base-z80.js";
import { runBits, runExtended } from "./extended-z80.js";
import { type BusZ80, registerIndex, StateZ80 } from "./state-z80.js";
import type { CpuStop } from "./stop.js";

/** Registers of the Z80. `f` holds S Z - H - P/V N C from bit 7 down; the bits that the maker leaves undefined read 0. */
export interface RegistersZ80 {
  readonly a: number;
  readonly f: number;
  readonly bc: number;
  readonly de: number;
  readonly hl: number;
  readonly ix: number;
  readonly iy: number;
  readonly sp: number;
  readonly pc: number;
  readonly i: number;
  readonly r: number;
}

/**
 * A bare Z80: documented instructions and their machine cycles, with the clock cycles counted. An opcode that the maker
 * does not define stops it, and so does HALT, for it has no interrupts.
 */
export class CpuZ80 {
  readonly #state: StateZ80;

  constructor(bus: BusZ80) {
    this.#state = new StateZ80(bus);
  }

  /** Clock cycles since the core was made. */
  get tStates(): number {
    return this.#state.tStates;
  }

  /** Why it does not run any more; undefined while it does. */
  get stopped(): CpuStop | undefined {
    return this.#state.stop;
  }

  get registers(): RegistersZ80 {
    const { a, f, hl, ix, iy, sp, pc, i, refresh } = this.#state;
    return { a, f, bc: this.#state.pair(0), de: this.#state.pair(2), hl, ix, iy, sp, pc, i, r: refresh };
  }

  /** Sets registers that are given. */
  setRegisters(values: Partial<RegistersZ80>): void {
    const state = this.#state;
    state.a = values.a ?? state.a;
    state.f = values.f ?? state.f;
    state.setPair(registerIndex.b, values.bc ?? state.pair(registerIndex.b));
    state.setPair(registerIndex.d, values.de ?? state.pair(registerIndex.d));
    state.hl = values.hl ?? state.hl;
    state.ix = values.ix ?? state.ix;
    state.iy = values.iy ?? state.iy;
    state.sp = values.sp ?? state.sp;
    state.pc = values.pc ?? state.pc;
    state.i = values.i ?? state.i;
    state.refresh = values.r ?? state.refresh;
  }

  /** What the reset pin does: PC, I and R to 0, interrupts off. Other registers keep what they hold. */
  reset(): void {
    const state = this.#state;
    state.pc = 0;
    state.i = 0;
    state.refresh = 0;
    state.iff1 = false;
    state.iff2 = false;
    state.interruptMode = 0;
    state.stop = undefined;
  }

  /** Runs one instruction, or one round of a repeated one; does nothing once stopped. */
  step(): void {
    const state = this.#state;
    if (state.stop !== undefined) return;
    const at = state.pc;
    const opcode = state.fetch();
    if (opcode === 0xcb) {
      const bits = state.fetch();
      if (!runBits(state, bits, undefined)) state.stopUndefined(at, [opcode, bits]);
    } else if (opcode === 0xed) {
      const extended = state.fetch();
      if (!runExtended(state, extended)) state.stopUndefined(at, [opcode, extended]);
    } else if (opcode === 0xdd || opcode === 0xfd) this.#runIndexed(at, opcode);
    else runBase(state, opcode, "hl");
  }

  #runIndexed(at: number, prefix: number): void {
    const state = this.#state;
    const index: Index = prefix === 0xdd ? "ix" : "iy";
    const opcode = state.fetch();
    if (opcode !== 0xcb) {
      if (usesIndex(opcode)) runBase(state, opcode, index);
      else state.stopUndefined(at, [prefix, opcode]);
      return;
    }
    const address = (indexed(state, index) + state.nextOffset()) & 0xffff;
    const bits = state.next();
    state.idle(2);
    if (!runBits(state, bits, address)) state.stopUndefined(at, [prefix, opcode, bits]);
  }
}

const indexedOpcodes = new Set([
  ...[0x09, 0x19, 0x29, 0x39, 0x21, 0x22, 0x23, 0x2a, 0x2b, 0x34, 0x35, 0x36],
  ...[0xe1, 0xe3, 0xe5, 0xe9, 0xf9],
]);

/** True for the opcodes that the maker defines after DD or FD: those that use HL or (HL). */
function usesIndex(opcode: number): boolean {
  if (indexedOpcodes.has(opcode)) return true;
  if (opcode >= 0x40 && opcode < 0x80) return opcode !== 0x76 && ((opcode & 7) === 6 || opcode >> 3 === 14);
  return opcode >= 0x80 && opcode < 0xc0 && (opcode & 7) === 6;
}
