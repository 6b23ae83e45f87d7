import {
  add6502,
  carry,
  decimal,
  interruptsOff,
  negative,
  overflow,
  pushedOnly,
  subtract6502,
  zero,
} from "./arithmetic-6502.js";
import { type Mode6502, type Opcode6502, opcodes6502 } from "./opcodes-6502.js";
import { type CpuStop, hexByte, hexWord } from "./stop.js";

/** What the processor is wired to. It makes exactly one transfer in each clock cycle. */
export interface Bus6502 {
  /** Byte that the processor takes at the end of a cycle; `isOpcode` is the level of its SYNC pin. */
  read(address: number, isOpcode: boolean): number;
  write(address: number, value: number): void;
}

/** Registers of the 6502; `p` holds the flags N V - B D I Z C from bit 7 down, of which bits 5 and 4 read 1. */
export interface Registers6502 {
  readonly a: number;
  readonly x: number;
  readonly y: number;
  readonly s: number;
  readonly p: number;
  readonly pc: number;
}

const storing = new Set(["STA", "STX", "STY"]);
const modifying = new Set(["ASL", "DEC", "INC", "LSR", "ROL", "ROR"]);

/**
 * A bare 6502 (NMOS): documented instructions, decimal mode, every bus cycle of each with the dummy reads and writes
 * that the chip makes. An undefined opcode stops it. It has no interrupts: nothing here asks for them.
 * Source: MCS6500 Microcomputer Family Programming Manual and Hardware Manual, MOS Technology, 1976, from memory.
 */
export class Cpu6502 {
  readonly #bus: Bus6502;
  #a = 0;
  #x = 0;
  #y = 0;
  #s = 0;
  #p = pushedOnly | interruptsOff;
  #pc = 0;
  #cycles = 0;
  #stop: CpuStop | undefined;

  constructor(bus: Bus6502) {
    this.#bus = bus;
  }

  /** Clock cycles since the core was made. */
  get cycles(): number {
    return this.#cycles;
  }

  /** Why it does not run any more; undefined while it does. */
  get stopped(): CpuStop | undefined {
    return this.#stop;
  }

  get registers(): Registers6502 {
    return { a: this.#a, x: this.#x, y: this.#y, s: this.#s, p: this.#p, pc: this.#pc };
  }

  /** Sets registers that are given; bits 5 and 4 of `p` stay 1. */
  setRegisters(values: Partial<Registers6502>): void {
    this.#a = (values.a ?? this.#a) & 0xff;
    this.#x = (values.x ?? this.#x) & 0xff;
    this.#y = (values.y ?? this.#y) & 0xff;
    this.#s = (values.s ?? this.#s) & 0xff;
    this.#p = ((values.p ?? this.#p) & 0xff) | pushedOnly;
    this.#pc = (values.pc ?? this.#pc) & 0xffff;
  }

  /** The seven cycles after reset: two idle ones, three stack cycles that write nothing, the vector at FFFC. */
  reset(): void {
    this.#stop = undefined;
    this.#read(this.#pc);
    this.#read(this.#pc);
    for (let k = 0; k < 3; k += 1) {
      this.#read(0x100 | this.#s);
      this.#s = (this.#s - 1) & 0xff;
    }
    this.#p |= interruptsOff;
    this.#pc = this.#read(0xfffc) | (this.#read(0xfffd) << 8);
  }

  /** Runs one instruction; does nothing once stopped. */
  step(): void {
    if (this.#stop !== undefined) return;
    const at = this.#pc;
    this.#cycles += 1;
    const opcode = this.#bus.read(at, true) & 0xff;
    const instruction = opcodes6502[opcode];
    if (instruction === undefined) {
      const reason = `The 6502 met the undefined opcode ${hexByte(opcode)} at ${hexWord(at)}.`;
      this.#stop = { kind: "undefined-opcode", address: at, reason };
      return;
    }
    this.#pc = (at + 1) & 0xffff;
    this.#execute(instruction);
  }

  #read(address: number): number {
    this.#cycles += 1;
    return this.#bus.read(address, false) & 0xff;
  }

  #write(address: number, value: number): void {
    this.#cycles += 1;
    this.#bus.write(address, value & 0xff);
  }

  #next(): number {
    const value = this.#read(this.#pc);
    this.#pc = (this.#pc + 1) & 0xffff;
    return value;
  }

  #push(value: number): void {
    this.#write(0x100 | this.#s, value);
    this.#s = (this.#s - 1) & 0xff;
  }

  #pull(): number {
    this.#s = (this.#s + 1) & 0xff;
    return this.#read(0x100 | this.#s);
  }

  #execute({ name, mode }: Opcode6502): void {
    if (mode === "implied") this.#implied(name);
    else if (mode === "relative") this.#branch(name);
    else if (mode === "accumulator") {
      this.#read(this.#pc);
      this.#a = this.#modified(name, this.#a);
    } else if (name === "JMP" || name === "JSR") this.#jump(name, mode);
    else if (storing.has(name)) this.#write(this.#address(mode, true), this.#stored(name));
    else if (modifying.has(name)) {
      const address = this.#address(mode, true);
      const value = this.#read(address);
      this.#write(address, value);
      this.#write(address, this.#modified(name, value));
    } else this.#take(name, mode === "immediate" ? this.#next() : this.#read(this.#address(mode, false)));
  }

  /**
   * Address of the operand. With an index that carries into the high byte the chip first reads at the address without
   * the carry; instructions that write do so always, for they cannot take back a write.
   */
  #address(mode: Mode6502, isWriting: boolean): number {
    switch (mode) {
      case "zero":
        return this.#next();
      case "zero,x":
        return this.#zeroIndexed(this.#x);
      case "zero,y":
        return this.#zeroIndexed(this.#y);
      case "absolute":
        return this.#word();
      case "absolute,x":
        return this.#indexed(this.#word(), this.#x, isWriting);
      case "absolute,y":
        return this.#indexed(this.#word(), this.#y, isWriting);
      case "(zero,x)":
        return this.#zeroWord(this.#zeroIndexed(this.#x));
      case "(zero),y":
        return this.#indexed(this.#zeroWord(this.#next()), this.#y, isWriting);
      default:
        throw new RangeError(`no address in mode ${mode}`);
    }
  }

  #word(): number {
    return this.#next() | (this.#next() << 8);
  }

  #zeroIndexed(index: number): number {
    const base = this.#next();
    this.#read(base);
    return (base + index) & 0xff;
  }

  #zeroWord(at: number): number {
    return this.#read(at) | (this.#read((at + 1) & 0xff) << 8);
  }

  #indexed(base: number, index: number, isWriting: boolean): number {
    const address = (base + index) & 0xffff;
    const withoutCarry = (base & 0xff00) | (address & 0xff);
    if (isWriting || withoutCarry !== address) this.#read(withoutCarry);
    return address;
  }

  #jump(name: string, mode: Mode6502): void {
    const low = this.#next();
    if (name === "JSR") {
      this.#read(0x100 | this.#s);
      this.#push(this.#pc >> 8);
      this.#push(this.#pc);
      this.#pc = low | (this.#read(this.#pc) << 8);
      return;
    }
    const target = low | (this.#next() << 8);
    // The high byte of an indirect jump is taken from the same page.
    const second = (target & 0xff00) | ((target + 1) & 0xff);
    this.#pc = mode === "absolute" ? target : this.#read(target) | (this.#read(second) << 8);
  }

  #branch(name: string): void {
    const offset = this.#next();
    if (!this.#isTaken(name)) return;
    this.#read(this.#pc);
    const target = (this.#pc + (offset < 0x80 ? offset : offset - 0x100)) & 0xffff;
    if ((target & 0xff00) !== (this.#pc & 0xff00)) this.#read((this.#pc & 0xff00) | (target & 0xff));
    this.#pc = target;
  }

  #isTaken(name: string): boolean {
    switch (name) {
      case "BCC":
        return (this.#p & carry) === 0;
      case "BCS":
        return (this.#p & carry) !== 0;
      case "BNE":
        return (this.#p & zero) === 0;
      case "BEQ":
        return (this.#p & zero) !== 0;
      case "BPL":
        return (this.#p & negative) === 0;
      case "BMI":
        return (this.#p & negative) !== 0;
      case "BVC":
        return (this.#p & overflow) === 0;
      default:
        return (this.#p & overflow) !== 0;
    }
  }

  #stored(name: string): number {
    return name === "STA" ? this.#a : name === "STX" ? this.#x : this.#y;
  }

  #setFlag(flag: number, on: boolean): void {
    this.#p = on ? this.#p | flag : this.#p & ~flag;
  }

  /** Sets N and Z by a value, and gives it back. */
  #noted(value: number): number {
    this.#setFlag(negative, (value & 0x80) !== 0);
    this.#setFlag(zero, value === 0);
    return value;
  }

  #modified(name: string, value: number): number {
    const carryIn = this.#p & carry;
    switch (name) {
      case "INC":
        return this.#noted((value + 1) & 0xff);
      case "DEC":
        return this.#noted((value - 1) & 0xff);
      case "ASL":
      case "ROL":
        this.#setFlag(carry, (value & 0x80) !== 0);
        return this.#noted(((value << 1) & 0xff) | (name === "ROL" ? carryIn : 0));
      default:
        this.#setFlag(carry, (value & 1) !== 0);
        return this.#noted((value >> 1) | (name === "ROR" && carryIn !== 0 ? 0x80 : 0));
    }
  }

  #take(name: string, value: number): void {
    switch (name) {
      case "LDA":
        this.#a = this.#noted(value);
        return;
      case "LDX":
        this.#x = this.#noted(value);
        return;
      case "LDY":
        this.#y = this.#noted(value);
        return;
      case "AND":
        this.#a = this.#noted(this.#a & value);
        return;
      case "ORA":
        this.#a = this.#noted(this.#a | value);
        return;
      case "EOR":
        this.#a = this.#noted(this.#a ^ value);
        return;
      case "CMP":
        this.#compare(this.#a, value);
        return;
      case "CPX":
        this.#compare(this.#x, value);
        return;
      case "CPY":
        this.#compare(this.#y, value);
        return;
      case "BIT":
        this.#setFlag(zero, (this.#a & value) === 0);
        this.#setFlag(negative, (value & 0x80) !== 0);
        this.#setFlag(overflow, (value & 0x40) !== 0);
        return;
      default: {
        const sum = name === "ADC" ? add6502(this.#a, value, this.#p) : subtract6502(this.#a, value, this.#p);
        this.#a = sum.a;
        this.#p = sum.p;
      }
    }
  }

  #compare(register: number, value: number): void {
    this.#setFlag(carry, register >= value);
    this.#noted((register - value) & 0xff);
  }

  #implied(name: string): void {
    // The chip reads the byte after the opcode and throws it away.
    this.#read(this.#pc);
    switch (name) {
      case "TAX":
        this.#x = this.#noted(this.#a);
        return;
      case "TAY":
        this.#y = this.#noted(this.#a);
        return;
      case "TXA":
        this.#a = this.#noted(this.#x);
        return;
      case "TYA":
        this.#a = this.#noted(this.#y);
        return;
      case "TSX":
        this.#x = this.#noted(this.#s);
        return;
      case "TXS":
        this.#s = this.#x;
        return;
      case "INX":
        this.#x = this.#noted((this.#x + 1) & 0xff);
        return;
      case "INY":
        this.#y = this.#noted((this.#y + 1) & 0xff);
        return;
      case "DEX":
        this.#x = this.#noted((this.#x - 1) & 0xff);
        return;
      case "DEY":
        this.#y = this.#noted((this.#y - 1) & 0xff);
        return;
      case "CLC":
        this.#setFlag(carry, false);
        return;
      case "SEC":
        this.#setFlag(carry, true);
        return;
      case "CLD":
        this.#setFlag(decimal, false);
        return;
      case "SED":
        this.#setFlag(decimal, true);
        return;
      case "CLI":
        this.#setFlag(interruptsOff, false);
        return;
      case "SEI":
        this.#setFlag(interruptsOff, true);
        return;
      case "CLV":
        this.#setFlag(overflow, false);
        return;
      case "NOP":
        return;
      default:
        this.#stack(name);
    }
  }

  #stack(name: string): void {
    if (name === "PHA" || name === "PHP") {
      this.#push(name === "PHA" ? this.#a : this.#p);
      return;
    }
    if (name === "BRK") {
      this.#pc = (this.#pc + 1) & 0xffff;
      this.#push(this.#pc >> 8);
      this.#push(this.#pc);
      this.#push(this.#p);
      this.#p |= interruptsOff;
      this.#pc = this.#read(0xfffe) | (this.#read(0xffff) << 8);
      return;
    }
    // Before it pulls, the chip reads at the stack pointer as it is.
    this.#read(0x100 | this.#s);
    if (name === "PLA") this.#a = this.#noted(this.#pull());
    else if (name === "PLP") this.#p = this.#pull() | pushedOnly;
    else {
      if (name === "RTI") this.#p = this.#pull() | pushedOnly;
      this.#pc = this.#pull() | (this.#pull() << 8);
      if (name === "RTS") {
        this.#read(this.#pc);
        this.#pc = (this.#pc + 1) & 0xffff;
      }
    }
  }
}
