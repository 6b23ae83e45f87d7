import {
  add8,
  carryFlag,
  decimalAdjust,
  decrement8,
  halfFlag,
  increment8,
  logicFlags,
  parityFlag,
  rotate8,
  signFlag,
  subtract8,
  subtractFlag,
  zeroFlag,
} from "./flags-z80.js";
import type { StateZ80 } from "./state-z80.js";
import { hexWord } from "./stop.js";

/*
 * Opcodes are taken apart as x (2 bits), y (3 bits), z (3 bits). Source: Z80 CPU Technical Manual, Zilog, 1977, tables
 * of instructions with their machine cycles, from memory; compared in the tests with an independent simulator.
 */

const keptByRotation = signFlag | zeroFlag | parityFlag;

/** Where HL, H, L and (HL) of an instruction lie: in HL itself, or after a prefix in IX or IY. */
export type Index = "hl" | "ix" | "iy";

/** The index register or HL. */
export function indexed(state: StateZ80, index: Index): number {
  return index === "hl" ? state.hl : index === "ix" ? state.ix : state.iy;
}

/** Sets the index register or HL. */
export function setIndexed(state: StateZ80, index: Index, value: number): void {
  const word = value & 0xffff;
  if (index === "hl") state.hl = word;
  else if (index === "ix") state.ix = word;
  else state.iy = word;
}

/** Address of (HL), or of (IX + d), whose displacement is read. */
export function memoryAddress(state: StateZ80, index: Index): number {
  if (index === "hl") return state.hl;
  const address = indexed(state, index) + state.nextOffset();
  state.idle(5);
  return address & 0xffff;
}

/** Condition by its number: NZ Z NC C PO PE P M. */
function holds(state: StateZ80, condition: number): boolean {
  const flag = [zeroFlag, carryFlag, parityFlag, signFlag][condition >> 1] ?? 0;
  return ((state.f & flag) !== 0) === ((condition & 1) === 1);
}

/** Runs an opcode without CB or ED prefix. `at` is the address of its first byte, `index` says which prefix came. */
export function runBase(state: StateZ80, opcode: number, index: Index): void {
  const y = (opcode >> 3) & 7;
  const z = opcode & 7;
  switch (opcode >> 6) {
    case 0:
      runFirst(state, y, z, index);
      break;
    case 1:
      if (opcode === 0x76) halt(state);
      else load(state, y, z, index);
      break;
    case 2:
      accumulate(state, y, z === 6 ? state.read(memoryAddress(state, index)) : (state.r[z] ?? 0));
      break;
    default:
      runLast(state, y, z, index);
  }
}

function halt(state: StateZ80): void {
  const at = (state.pc - 1) & 0xffff;
  state.stop = { kind: "halted", address: at, reason: `The Z80 met HALT at ${hexWord(at)}.` };
}

function load(state: StateZ80, to: number, from: number, index: Index): void {
  if (from === 6) state.r[to] = state.read(memoryAddress(state, index));
  else if (to === 6) state.write(memoryAddress(state, index), state.r[from] ?? 0);
  else state.r[to] = state.r[from] ?? 0;
}

/** ADD ADC SUB SBC AND XOR OR CP. */
function accumulate(state: StateZ80, kind: number, value: number): void {
  const carryIn = state.f & carryFlag;
  switch (kind) {
    case 0:
    case 1: {
      const sum = add8(state.a, value, kind === 1 ? carryIn : 0);
      state.a = sum.value;
      state.f = sum.f;
      break;
    }
    case 4:
      state.a &= value;
      state.f = logicFlags(state.a, halfFlag);
      break;
    case 5:
      state.a ^= value;
      state.f = logicFlags(state.a, 0);
      break;
    case 6:
      state.a |= value;
      state.f = logicFlags(state.a, 0);
      break;
    default: {
      const difference = subtract8(state.a, value, kind === 3 ? carryIn : 0);
      if (kind !== 7) state.a = difference.value;
      state.f = difference.f;
    }
  }
}

function runFirst(state: StateZ80, y: number, z: number, index: Index): void {
  const pairOf = (number: number): number =>
    number === 3 ? state.sp : number === 2 ? indexed(state, index) : state.pair(number * 2);
  const setPair = (number: number, value: number): void => {
    if (number === 3) state.sp = value & 0xffff;
    else if (number === 2) setIndexed(state, index, value);
    else state.setPair(number * 2, value & 0xffff);
  };
  const pair = y >> 1;
  switch (z) {
    case 0:
      relative(state, y);
      break;
    case 1:
      if ((y & 1) === 0) setPair(pair, state.nextWord());
      else addPair(state, index, pairOf(pair));
      break;
    case 2:
      indirect(state, y, index);
      break;
    case 3:
      state.idle(2);
      setPair(pair, pairOf(pair) + ((y & 1) === 0 ? 1 : -1));
      break;
    case 4:
    case 5:
      step(state, y, z === 4, index);
      break;
    case 6: {
      if (y !== 6) state.r[y] = state.next();
      else {
        // Of the five cycles that add the displacement, three are the read of the operand.
        const address = index === "hl" ? state.hl : (indexed(state, index) + state.nextOffset()) & 0xffff;
        const value = state.next();
        if (index !== "hl") state.idle(2);
        state.write(address, value);
      }
      break;
    }
    default:
      runAccumulator(state, y);
  }
}

function relative(state: StateZ80, y: number): void {
  if (y === 0) return;
  if (y === 1) {
    const kept = [state.a, state.f];
    state.a = state.second[7] ?? 0;
    state.f = state.second[6] ?? 0;
    state.second[7] = kept[0] ?? 0;
    state.second[6] = kept[1] ?? 0;
    return;
  }
  let isTaken = true;
  if (y === 2) {
    state.idle(1);
    state.r[0] = (state.r[0] ?? 0) - 1;
    isTaken = state.r[0] !== 0;
  } else if (y >= 4) isTaken = holds(state, y - 4);
  const offset = state.nextOffset();
  if (!isTaken) return;
  state.idle(5);
  state.pc = (state.pc + offset) & 0xffff;
}

function addPair(state: StateZ80, index: Index, value: number): void {
  const base = indexed(state, index);
  const sum = base + value;
  state.idle(7);
  const half = (base & 0xfff) + (value & 0xfff) > 0xfff ? halfFlag : 0;
  state.f = (state.f & keptByRotation) | half | (sum > 0xffff ? carryFlag : 0);
  setIndexed(state, index, sum);
}

function indirect(state: StateZ80, y: number, index: Index): void {
  switch (y) {
    case 0:
    case 2:
      state.write(state.pair(y), state.a);
      break;
    case 1:
    case 3:
      state.a = state.read(state.pair(y - 1));
      break;
    case 4:
      state.writeWord(state.nextWord(), indexed(state, index));
      break;
    case 5:
      setIndexed(state, index, state.readWord(state.nextWord()));
      break;
    case 6:
      state.write(state.nextWord(), state.a);
      break;
    default:
      state.a = state.read(state.nextWord());
  }
}

/** INC and DEC of a byte. */
function step(state: StateZ80, register: number, isUp: boolean, index: Index): void {
  const change = isUp ? increment8 : decrement8;
  if (register !== 6) {
    const { value, f } = change(state.r[register] ?? 0, state.f);
    state.r[register] = value;
    state.f = f;
    return;
  }
  const address = memoryAddress(state, index);
  const { value, f } = change(state.read(address), state.f);
  state.idle(1);
  state.f = f;
  state.write(address, value);
}

/** RLCA RRCA RLA RRA DAA CPL SCF CCF. */
function runAccumulator(state: StateZ80, y: number): void {
  const { a, f } = state;
  if (y < 4) {
    const turned = rotate8(y, a, f);
    state.a = turned.value;
    state.f = (f & keptByRotation) | (turned.f & carryFlag);
  } else if (y === 4) {
    const adjusted = decimalAdjust(a, f);
    state.a = adjusted.value;
    state.f = adjusted.f;
  } else if (y === 5) {
    state.a = ~a & 0xff;
    state.f = f | halfFlag | subtractFlag;
  } else if (y === 6) state.f = (f & keptByRotation) | carryFlag;
  else state.f = (f & keptByRotation) | ((f & carryFlag) !== 0 ? halfFlag : carryFlag);
}

function runLast(state: StateZ80, y: number, z: number, index: Index): void {
  switch (z) {
    case 0:
      state.idle(1);
      if (holds(state, y)) state.pc = state.pop();
      break;
    case 1:
      popOrMove(state, y, index);
      break;
    case 2: {
      const target = state.nextWord();
      if (holds(state, y)) state.pc = target;
      break;
    }
    case 3:
      runMixed(state, y, index);
      break;
    case 4:
      call(state, holds(state, y));
      break;
    case 5:
      if (y === 1) call(state, true);
      else {
        state.idle(1);
        const pair = y >> 1;
        const word =
          pair === 3 ? (state.a << 8) | state.f : pair === 2 ? indexed(state, index) : state.pair(pair * 2);
        state.push(word);
      }
      break;
    case 6:
      accumulate(state, y, state.next());
      break;
    default:
      state.idle(1);
      state.push(state.pc);
      state.pc = y * 8;
  }
}

function call(state: StateZ80, isTaken: boolean): void {
  const target = state.nextWord();
  if (!isTaken) return;
  state.idle(1);
  state.push(state.pc);
  state.pc = target;
}

function popOrMove(state: StateZ80, y: number, index: Index): void {
  const pair = y >> 1;
  if ((y & 1) === 0) {
    const word = state.pop();
    if (pair === 3) {
      state.a = word >> 8;
      state.f = word;
    } else if (pair === 2) setIndexed(state, index, word);
    else state.setPair(pair * 2, word);
  } else if (pair === 0) state.pc = state.pop();
  else if (pair === 1) {
    for (let k = 0; k < 6; k += 1) {
      const kept = state.r[k] ?? 0;
      state.r[k] = state.second[k] ?? 0;
      state.second[k] = kept;
    }
  } else if (pair === 2) state.pc = indexed(state, index);
  else {
    state.idle(2);
    state.sp = indexed(state, index);
  }
}

/** JP, OUT, IN, EX, DI, EI; the prefixes do not come here. */
function runMixed(state: StateZ80, y: number, index: Index): void {
  switch (y) {
    case 0:
      state.pc = state.nextWord();
      break;
    case 2:
      state.output((state.a << 8) | state.next(), state.a);
      break;
    case 3:
      state.a = state.input((state.a << 8) | state.next());
      break;
    case 4: {
      const low = state.read(state.sp);
      const high = state.read(state.sp + 1);
      state.idle(1);
      const word = indexed(state, index);
      state.write(state.sp + 1, word >> 8);
      state.write(state.sp, word);
      state.idle(2);
      setIndexed(state, index, low | (high << 8));
      break;
    }
    case 5: {
      const { hl } = state;
      state.hl = state.pair(2);
      state.setPair(2, hl);
      break;
    }
    default:
      state.iff1 = y === 7;
      state.iff2 = y === 7;
  }
}
