import { allFlags } from "./flags-z80.js";
import { type CpuStop, hexByte, hexWord } from "./stop.js";

/** What the processor is wired to. Each call is one machine cycle; `idle` is time in which it transfers nothing. */
export interface BusZ80 {
  /** Opcode fetch, 4 clock cycles; in its second half the refresh address is on the address lines. */
  fetch(address: number, refreshAddress: number): number;
  /** 3 clock cycles. */
  read(address: number): number;
  /** 3 clock cycles. */
  write(address: number, value: number): void;
  /** 4 clock cycles, the wait cycle that the chip adds included; the port is on all 16 address lines. */
  input(port: number): number;
  /** 4 clock cycles. */
  output(port: number, value: number): void;
  /** Clock cycles within or after a machine cycle, without a transfer. */
  idle?(tStates: number): void;
}

/** Numbers of the byte registers as opcodes have them; 6 there means memory, and is F here. */
export const registerIndex = { b: 0, c: 1, d: 2, e: 3, h: 4, l: 5, f: 6, a: 7 } as const;

/** Registers, flip-flops and clock of a Z80, and its machine cycles. The instructions work on it. */
export class StateZ80 {
  readonly #bus: BusZ80;
  /** [8] B C D E H L F A. */
  readonly r = new Uint8Array(8);
  /** [8] the second set. */
  readonly second = new Uint8Array(8);
  ix = 0;
  iy = 0;
  sp = 0xffff;
  pc = 0;
  i = 0;
  refresh = 0;
  iff1 = false;
  iff2 = false;
  interruptMode = 0;
  tStates = 0;
  stop: CpuStop | undefined;

  constructor(bus: BusZ80) {
    this.#bus = bus;
  }

  get a(): number {
    return this.r[7] ?? 0;
  }

  set a(value: number) {
    this.r[7] = value;
  }

  get f(): number {
    return this.r[6] ?? 0;
  }

  set f(value: number) {
    this.r[6] = value & allFlags;
  }

  get hl(): number {
    return this.pair(4);
  }

  set hl(value: number) {
    this.setPair(4, value);
  }

  /** Register pair whose high byte is register `high`: 0 BC, 2 DE, 4 HL. */
  pair(high: number): number {
    return ((this.r[high] ?? 0) << 8) | (this.r[high + 1] ?? 0);
  }

  setPair(high: number, value: number): void {
    this.r[high] = value >> 8;
    this.r[high + 1] = value;
  }

  /** Opcode fetch at PC, which moves on. */
  fetch(): number {
    const address = this.pc;
    this.tStates += 4;
    this.pc = (address + 1) & 0xffff;
    const refreshAddress = (this.i << 8) | this.refresh;
    this.refresh = (this.refresh & 0x80) | ((this.refresh + 1) & 0x7f);
    return this.#bus.fetch(address, refreshAddress) & 0xff;
  }

  read(address: number): number {
    this.tStates += 3;
    return this.#bus.read(address & 0xffff) & 0xff;
  }

  write(address: number, value: number): void {
    this.tStates += 3;
    this.#bus.write(address & 0xffff, value & 0xff);
  }

  input(port: number): number {
    this.tStates += 4;
    return this.#bus.input(port & 0xffff) & 0xff;
  }

  output(port: number, value: number): void {
    this.tStates += 4;
    this.#bus.output(port & 0xffff, value & 0xff);
  }

  idle(tStates: number): void {
    this.tStates += tStates;
    this.#bus.idle?.(tStates);
  }

  /** Operand byte at PC, which moves on. */
  next(): number {
    const value = this.read(this.pc);
    this.pc = (this.pc + 1) & 0xffff;
    return value;
  }

  nextWord(): number {
    return this.next() | (this.next() << 8);
  }

  /** Operand byte as a number from -128 to 127. */
  nextOffset(): number {
    const value = this.next();
    return value < 0x80 ? value : value - 0x100;
  }

  readWord(address: number): number {
    return this.read(address) | (this.read(address + 1) << 8);
  }

  writeWord(address: number, value: number): void {
    this.write(address, value);
    this.write(address + 1, value >> 8);
  }

  push(value: number): void {
    this.sp = (this.sp - 1) & 0xffff;
    this.write(this.sp, value >> 8);
    this.sp = (this.sp - 1) & 0xffff;
    this.write(this.sp, value);
  }

  pop(): number {
    const low = this.read(this.sp);
    this.sp = (this.sp + 1) & 0xffff;
    const high = this.read(this.sp);
    this.sp = (this.sp + 1) & 0xffff;
    return low | (high << 8);
  }

  /** Stops at an opcode that the maker does not define. */
  stopUndefined(at: number, bytes: readonly number[]): void {
    const opcode = bytes.map(hexByte).join(" ");
    this.stop = {
      kind: "undefined-opcode",
      address: at,
      reason: `The Z80 met the undefined opcode ${opcode} at ${hexWord(at)}.`,
    };
  }
}
