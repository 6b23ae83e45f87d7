import type { MemorySize } from "./enumerate.js";
import type { Bit, CouplingFault, DecoderFault, Disturbance, MemoryFault } from "./fault.js";

/*
 * 32 memories are simulated at once, one in each bit of a 32-bit integer ("lane"): they have the same fault and are
 * given the same operations, but started with different contents. A cell is such an integer, so every rule below is
 * written as a boolean formula over lanes.
 */
const all = -1;

/** 32 faulty memories, equal but for what they held at first. */
export class FaultyMemory {
  readonly #wordBits: number;
  readonly #fault: MemoryFault;
  /** [addresses × wordBits] lanes of each cell. */
  readonly #cells: Int32Array;
  /** [wordBits] lanes of what each data line gave at the last read, for stuck-open cells. */
  readonly #lastRead: Int32Array;
  /** [wordBits] lanes of the word as it was before a write. */
  readonly #before: Int32Array;
  /** [wordBits] lanes of the last read; valid until the next one. */
  readonly output: Int32Array;

  /**
   * `contents`: [addresses × wordBits] lanes of what each cell holds at first. `lastRead`: what the data lines gave
   * before the first read.
   */
  constructor(size: MemorySize, fault: MemoryFault, contents: Int32Array, lastRead: Bit) {
    this.#wordBits = size.wordBits;
    this.#fault = fault;
    this.#cells = Int32Array.from(contents);
    this.#lastRead = new Int32Array(size.wordBits).fill(lastRead === 1 ? all : 0);
    this.#before = new Int32Array(size.wordBits);
    this.output = new Int32Array(size.wordBits);
    this.#hold();
  }

  /** Writes a word to an address; bit k of `word` goes to data line k. */
  write(address: number, word: number): void {
    if (this.#fault.kind === "AF") this.#writeDecoded(address, word, this.#fault);
    else this.#writeWord(address, word);
    this.#hold();
  }

  /** Reads an address into {@link output}. */
  read(address: number): void {
    if (this.#fault.kind === "AF") this.#readDecoded(address, this.#fault);
    else this.#readWord(address);
    this.#lastRead.set(this.output);
    this.#hold();
  }

  /** A pause: a cell that does not retain a value loses it. */
  pause(): void {
    const fault = this.#fault;
    if (fault.kind !== "DRF") return;
    this.#flip(fault.cell, equals(this.#cell(fault.cell), fault.state));
  }

  #cell(cell: number): number {
    return this.#cells[cell] ?? 0;
  }

  #flip(cell: number, lanes: number): void {
    this.#cells[cell] = this.#cell(cell) ^ lanes;
  }

  #force(cell: number, value: Bit, lanes: number): void {
    this.#cells[cell] = value === 1 ? this.#cell(cell) | lanes : this.#cell(cell) & ~lanes;
  }

  /** Faults that hold at every moment. */
  #hold(): void {
    const fault = this.#fault;
    if (fault.kind === "SAF") this.#force(fault.cell, fault.value, all);
    else if (fault.kind === "CFst")
      this.#force(fault.victim, fault.forces, equals(this.#cell(fault.aggressor), fault.state));
  }

  #writeWord(address: number, word: number): void {
    const first = address * this.#wordBits;
    for (let bit = 0; bit < this.#wordBits; bit += 1) this.#before[bit] = this.#cell(first + bit);
    for (let bit = 0; bit < this.#wordBits; bit += 1) {
      const written = (word >> bit) & 1 ? all : 0;
      this.#cells[first + bit] = this.#written(first + bit, this.#before[bit] ?? 0, written);
    }
    // An aggressor acts after the whole word is stored, so it prevails over a victim in the same word.
    const fault = this.#fault;
    if ("aggressor" in fault && this.#isIn(fault.aggressor, first)) {
      const before = this.#before[fault.aggressor - first] ?? 0;
      const written = (word >> (fault.aggressor - first)) & 1 ? all : 0;
      this.#disturbByWrite(fault, before, written);
    }
  }

  /** What a cell holds after `written` was written to it. */
  #written(cell: number, before: number, written: number): number {
    const fault = this.#fault;
    if ("cell" in fault && fault.cell === cell) {
      if (fault.kind === "SOF") return before;
      if (fault.kind === "TF") return written ^ changes(before, written, fault.to);
      if (fault.kind === "WDF") return written ^ (equals(before, fault.state) & equals(written, fault.state));
    }
    if ("victim" in fault && fault.victim === cell && "aggressorState" in fault) {
      const active = this.#aggressorHolds(fault, cell);
      if (fault.kind === "CFtr") return written ^ (changes(before, written, fault.state) & active);
      if (fault.kind === "CFwd")
        return written ^ (equals(before, fault.state) & equals(written, fault.state) & active);
    }
    return written;
  }

  /** Lanes where the aggressor held its state before this operation, also if it is in the same word. */
  #aggressorHolds(fault: CouplingFault & { readonly aggressorState: Bit }, cell: number): number {
    const first = cell - (cell % this.#wordBits);
    const lanes = this.#isIn(fault.aggressor, first)
      ? (this.#before[fault.aggressor - first] ?? 0)
      : this.#cell(fault.aggressor);
    return equals(lanes, fault.aggressorState);
  }

  #isIn(cell: number, first: number): boolean {
    return cell >= first && cell < first + this.#wordBits;
  }

  #disturbByWrite(fault: CouplingFault, before: number, written: number): void {
    const { victim } = fault;
    if (fault.kind === "CFin") this.#flip(victim, changes(before, written, fault.to));
    else if (fault.kind === "CFid") this.#force(victim, fault.forces, changes(before, written, fault.to));
    else if (fault.kind === "CFdyn") this.#force(victim, fault.forces, equals(written, fault.value));
    else if (fault.kind === "CFds") {
      const lanes = writeLanes(fault.operation, before, written);
      this.#flip(victim, lanes & equals(this.#cell(victim), fault.state));
    }
  }

  #readWord(address: number): void {
    const first = address * this.#wordBits;
    for (let bit = 0; bit < this.#wordBits; bit += 1) this.#before[bit] = this.#cell(first + bit);
    for (let bit = 0; bit < this.#wordBits; bit += 1) this.output[bit] = this.#readCell(first + bit, bit);
    const fault = this.#fault;
    if (!("aggressor" in fault) || !this.#isIn(fault.aggressor, first)) return;
    const held = this.#before[fault.aggressor - first] ?? 0;
    if (fault.kind === "CFdyn") this.#force(fault.victim, fault.forces, equals(held, fault.value));
    else if (fault.kind === "CFds") {
      const lanes = readLanes(fault.operation, held);
      this.#flip(fault.victim, lanes & equals(this.#cell(fault.victim), fault.state));
    }
  }

  /** What a cell gives when it is read; a read that disturbs it changes it. */
  #readCell(cell: number, bit: number): number {
    const held = this.#cell(cell);
    const fault = this.#fault;
    if ("cell" in fault && fault.cell === cell) {
      if (fault.kind === "SOF") return this.#lastRead[bit] ?? 0;
      if (fault.kind === "RDF" || fault.kind === "DRDF" || fault.kind === "IRF")
        return this.#disturbedRead(cell, fault.kind, equals(held, fault.state));
    }
    if ("victim" in fault && fault.victim === cell && "aggressorState" in fault) {
      const lanes = equals(held, fault.state) & this.#aggressorHolds(fault, cell);
      if (fault.kind === "CFrd") return this.#disturbedRead(cell, "RDF", lanes);
      if (fault.kind === "CFdrd") return this.#disturbedRead(cell, "DRDF", lanes);
      if (fault.kind === "CFir") return this.#disturbedRead(cell, "IRF", lanes);
    }
    return held;
  }

  #disturbedRead(cell: number, kind: "RDF" | "DRDF" | "IRF", lanes: number): number {
    const held = this.#cell(cell);
    if (kind !== "IRF") this.#flip(cell, lanes);
    return kind === "DRDF" ? held : held ^ lanes;
  }

  #writeDecoded(address: number, word: number, fault: DecoderFault): void {
    for (const reached of reachedBy(address, fault)) this.#writeWord(reached, word);
  }

  #readDecoded(address: number, fault: DecoderFault): void {
    const [first, second] = reachedBy(address, fault);
    if (first === undefined) {
      this.output.fill("floating" in fault && fault.floating === 1 ? all : 0);
      return;
    }
    for (let bit = 0; bit < this.#wordBits; bit += 1) {
      const one = this.#cell(first * this.#wordBits + bit);
      const other = second === undefined ? one : this.#cell(second * this.#wordBits + bit);
      this.output[bit] = fault.wiring === "and" ? one & other : one | other;
    }
  }
}

/** Addresses whose cells answer when `address` is asked for. */
function reachedBy(address: number, fault: DecoderFault): readonly number[] {
  if (fault.type === "A") return address === fault.x ? [] : [address];
  const { type, x, y } = fault;
  if (address === x) return type === "B" ? [] : type === "C" ? [y] : [x, y];
  return address === y && type === "B" ? [x, y] : [address];
}

/** Lanes that hold `value`. */
function equals(lanes: number, value: Bit): number {
  return value === 1 ? lanes : ~lanes;
}

/** Lanes that go from the other value to `to`. */
function changes(before: number, after: number, to: Bit): number {
  return to === 1 ? ~before & after : before & ~after;
}

function writeLanes(operation: Disturbance, before: number, written: number): number {
  if (operation === "r0" || operation === "r1") return 0;
  return equals(before, operation[0] === "1" ? 1 : 0) & equals(written, operation[2] === "1" ? 1 : 0);
}

function readLanes(operation: Disturbance, held: number): number {
  if (operation === "r0") return ~held;
  return operation === "r1" ? held : 0;
}
