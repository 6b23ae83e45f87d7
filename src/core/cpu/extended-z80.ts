import {
  allFlags,
  carryFlag,
  halfFlag,
  logicFlags,
  parityFlag,
  rotate8,
  signFlag,
  signZero,
  subtract8,
  subtractFlag,
  zeroFlag,
} from "./flags-z80.js";
import type { StateZ80 } from "./state-z80.js";

/** Runs an opcode after CB; `address` is that of (IX + d) after DD CB or FD CB. False if the maker defines none. */
export function runBits(state: StateZ80, opcode: number, address: number | undefined): boolean {
  const kind = opcode >> 6;
  const y = (opcode >> 3) & 7;
  const z = opcode & 7;
  if ((kind === 0 && y === 6) || (address !== undefined && z !== 6)) return false;
  const at = z === 6 ? (address ?? state.hl) : undefined;
  const value = at === undefined ? (state.r[z] ?? 0) : state.read(at);
  if (at !== undefined) state.idle(1);
  if (kind === 1) {
    const isClear = ((value >> y) & 1) === 0;
    // S and P/V after BIT are undefined; as the chips do it, S is bit 7 if it was tested, and P/V is Z.
    const sign = y === 7 && !isClear ? signFlag : 0;
    state.f = (state.f & carryFlag) | halfFlag | sign | (isClear ? zeroFlag | parityFlag : 0);
    return true;
  }
  let result = kind === 2 ? value & ~(1 << y) : value | (1 << y);
  if (kind === 0) {
    const turned = rotate8(y, value, state.f);
    result = turned.value;
    state.f = turned.f;
  }
  if (at === undefined) state.r[z] = result;
  else state.write(at, result);
  return true;
}

/** Runs an opcode after ED. False if the maker defines none. */
export function runExtended(state: StateZ80, opcode: number): boolean {
  if (opcode >= 0x40 && opcode < 0x80) return runMiddle(state, opcode);
  if ((opcode & 0xe4) === 0xa0) {
    runBlock(state, opcode);
    return true;
  }
  return false;
}

function runMiddle(state: StateZ80, opcode: number): boolean {
  const y = (opcode >> 3) & 7;
  switch (opcode & 7) {
    case 0:
      if (y === 6) return false;
      state.r[y] = state.input(state.pair(0));
      state.f = (state.f & carryFlag) | logicFlags(state.r[y] ?? 0, 0);
      return true;
    case 1:
      if (y === 6) return false;
      state.output(state.pair(0), state.r[y] ?? 0);
      return true;
    case 2:
      addOrSubtractPair(state, y);
      return true;
    case 3: {
      const address = state.nextWord();
      if ((y & 1) === 0) state.writeWord(address, pairOf(state, y >> 1));
      else setPairOf(state, y >> 1, state.readWord(address));
      return true;
    }
    default:
      return runSingle(state, opcode);
  }
}

function pairOf(state: StateZ80, pair: number): number {
  return pair === 3 ? state.sp : state.pair(pair * 2);
}

function setPairOf(state: StateZ80, pair: number, value: number): void {
  if (pair === 3) state.sp = value;
  else state.setPair(pair * 2, value);
}

/** SBC HL (even y) and ADC HL (odd y). */
function addOrSubtractPair(state: StateZ80, y: number): void {
  const base = state.hl;
  const value = pairOf(state, y >> 1);
  const carryIn = state.f & carryFlag;
  state.idle(7);
  const isAdd = (y & 1) === 1;
  const sum = isAdd ? base + value + carryIn : base - value - carryIn;
  const result = sum & 0xffff;
  const low = isAdd ? (base & 0xfff) + (value & 0xfff) + carryIn : (base & 0xfff) - (value & 0xfff) - carryIn;
  const overflow = isAdd ? (base ^ result) & (value ^ result) : (base ^ value) & (base ^ result);
  state.f =
    ((result >> 8) & signFlag) |
    (result === 0 ? zeroFlag : 0) |
    (low < 0 || low > 0xfff ? halfFlag : 0) |
    ((overflow & 0x8000) !== 0 ? parityFlag : 0) |
    (isAdd ? 0 : subtractFlag) |
    (sum < 0 || sum > 0xffff ? carryFlag : 0);
  state.hl = result;
}

function runSingle(state: StateZ80, opcode: number): boolean {
  switch (opcode) {
    case 0x44: {
      const { value, f } = subtract8(0, state.a, 0);
      state.a = value;
      state.f = f;
      return true;
    }
    case 0x45:
    case 0x4d:
      state.pc = state.pop();
      state.iff1 = state.iff2;
      return true;
    case 0x46:
    case 0x56:
    case 0x5e:
      state.interruptMode = opcode === 0x46 ? 0 : opcode === 0x56 ? 1 : 2;
      return true;
    case 0x47:
    case 0x4f:
      state.idle(1);
      if (opcode === 0x47) state.i = state.a;
      else state.refresh = state.a;
      return true;
    case 0x57:
    case 0x5f:
      state.idle(1);
      state.a = opcode === 0x57 ? state.i : state.refresh;
      state.f = (state.f & carryFlag) | signZero(state.a) | (state.iff2 ? parityFlag : 0);
      return true;
    case 0x67:
    case 0x6f:
      rotateDigits(state, opcode === 0x6f);
      return true;
    default:
      return false;
  }
}

/** RLD and RRD: the digits of (HL) and the low digit of A move on by one. */
function rotateDigits(state: StateZ80, isLeft: boolean): void {
  const address = state.hl;
  const held = state.read(address);
  state.idle(4);
  const digit = state.a & 15;
  state.write(address, isLeft ? (held << 4) | digit : (digit << 4) | (held >> 4));
  state.a = (state.a & 0xf0) | (isLeft ? held >> 4 : held & 15);
  state.f = (state.f & carryFlag) | logicFlags(state.a, 0);
}

/** LDI CPI INI OUTI, downward with bit 3, repeated with bit 4. */
function runBlock(state: StateZ80, opcode: number): void {
  const step = (opcode & 8) === 0 ? 1 : -1;
  const kind = opcode & 3;
  const isDone = kind < 2 ? moveOrCompare(state, kind, step) : transferPort(state, kind, step);
  if ((opcode & 0x10) === 0 || isDone) return;
  state.idle(5);
  state.pc = (state.pc - 2) & 0xffff;
}

function moveOrCompare(state: StateZ80, kind: number, step: number): boolean {
  const value = state.read(state.hl);
  if (kind === 0) {
    state.write(state.pair(2), value);
    state.idle(2);
    state.setPair(2, (state.pair(2) + step) & 0xffff);
  } else state.idle(5);
  state.hl = (state.hl + step) & 0xffff;
  const left = (state.pair(0) - 1) & 0xffff;
  state.setPair(0, left);
  const more = left === 0 ? 0 : parityFlag;
  if (kind === 0) {
    state.f = (state.f & (signFlag | zeroFlag | carryFlag)) | more;
    return left === 0;
  }
  const compared = subtract8(state.a, value, 0);
  const kept = allFlags & ~(carryFlag | parityFlag);
  state.f = (compared.f & kept) | (state.f & carryFlag) | more;
  return left === 0 || compared.value === 0;
}

/** Of the flags the maker defines only Z, set when B has come to 0, and N, set; the others are left as they are. */
function transferPort(state: StateZ80, kind: number, step: number): boolean {
  state.idle(1);
  if (kind === 2) {
    const value = state.input(state.pair(0));
    state.write(state.hl, value);
    state.r[0] = (state.r[0] ?? 0) - 1;
  } else {
    const value = state.read(state.hl);
    state.r[0] = (state.r[0] ?? 0) - 1;
    state.output(state.pair(0), value);
  }
  state.hl = (state.hl + step) & 0xffff;
  const isDone = state.r[0] === 0;
  state.f = (state.f & ~zeroFlag) | subtractFlag | (isDone ? zeroFlag : 0);
  return isDone;
}
