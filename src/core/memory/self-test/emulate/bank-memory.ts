import { createRandom } from "../../../base/random.js";
import type { Bit, MemoryFault } from "../../faults/fault.js";
import { FaultyMemory } from "../../faults/faulty-memory.js";
import { columnOf, type MemoryArray, rowOf } from "../../map/memory-map.js";
import type { LineFault, MemoryBoardFault } from "./board-fault.js";

/** What a bank needs to know of time. */
export interface BankTime {
  /** Clock cycles since reset. */
  now(): number;
  /** Clock cycles for which a row of dynamic memory keeps its charge; absent if it is refreshed all the time. */
  readonly chargeCycles?: number;
  /** Clock cycles after a write in which a cell that does not retain a value loses it. */
  readonly retentionCycles: number;
}

const noCell = -1;

/** The chips of one bank with at most one fault, as the processor reads and writes them. */
export class BankMemory {
  readonly #time: BankTime;
  /** [65536] cell that an address reaches; -1 outside of the bank. */
  readonly #cellOf: Int32Array;
  /** [65536] the same for the chip whose own address pin is bad. */
  readonly #chipCellOf: Int32Array;
  /** [cells] words. */
  readonly #words: Uint8Array;
  /** [rows] clock cycle at which each row was touched last. */
  readonly #touched: Float64Array;
  readonly #rowMask: number;
  readonly #columnShift: number;
  readonly #fault: MemoryBoardFault | undefined;
  /** Data bits of the chip that is modelled on its own, lowest first. */
  readonly #ownBits: readonly number[];
  readonly #ownMask: number;
  readonly #chip: FaultyMemory | undefined;
  readonly #bitMask: number;
  /** Clock cycle of the last write to the chip with a cell that forgets. */
  #written = 0;

  /**
   * `rows`: rows to be refreshed. `seed`: for what the cells hold at power-on. Throws `RangeError` if a fault names a
   * place outside of the bank.
   */
  constructor(
    array: MemoryArray,
    rows: number,
    fault: MemoryBoardFault | undefined,
    time: BankTime,
    seed: number,
  ) {
    this.#time = time;
    this.#fault = fault;
    this.#bitMask = array.bits.reduce((mask, { bit }) => mask | (1 << bit), 0);
    this.#columnShift = array.lines.length;
    this.#rowMask = rows - 1;
    this.#touched = new Float64Array(Math.max(rows, 1));
    this.#cellOf = cellsOf(array, fault?.kind === "address-line" ? fault.line : undefined);
    this.#chipCellOf = fault?.kind === "chip-address-pin" ? cellsOf(array, fault.line) : this.#cellOf;
    const cells =
      1 <<
      (array.lines.some(({ way }) => way.column !== undefined) ? array.lines.length * 2 : array.lines.length);
    const random = createRandom(seed);
    this.#words = Uint8Array.from({ length: cells }, () => random.below(256));
    const part = fault !== undefined && "part" in fault ? fault.part : undefined;
    this.#ownBits = array.bits.filter((bit) => bit.part === part).map(({ bit }) => bit);
    this.#ownMask = this.#ownBits.reduce((mask, bit) => mask | (1 << bit), 0);
    if (fault?.kind === "cell") {
      const width = this.#ownBits.length;
      const contents = Int32Array.from({ length: cells * width }, () => -random.below(2));
      const at = this.#ownBits.indexOf(fault.bit);
      if (at < 0) throw new RangeError(`${fault.part} does not hold data bit ${fault.bit}`);
      const cellAt = (address: number): number => this.#cell(address) * width + at;
      const inner = moved(fault.fault, (address) => this.#cell(address), cellAt);
      this.#chip = new FaultyMemory({ addresses: cells, wordBits: width }, inner, contents, 0);
    }
  }

  #cell(address: number): number {
    const cell = this.#cellOf[address] ?? noCell;
    if (cell === noCell) throw new RangeError(`no memory of the bank at ${address.toString(16)}`);
    return cell;
  }

  /** Touches the row of an address as a refresh does. */
  refresh(address: number): void {
    if (this.#time.chargeCycles === undefined) return;
    this.#touch(address & this.#rowMask);
  }

  /** What the data lines show; `floating` where no chip drives them. */
  read(address: number, floating: number): number {
    const cell = this.#cellOf[address] ?? noCell;
    const fault = this.#fault;
    if (fault?.kind === "no-strobe" && fault.role !== "write") return floating;
    if (this.#time.chargeCycles !== undefined) this.#touch(cell & this.#rowMask);
    let value = this.#words[cell] ?? 0;
    if (this.#ownMask !== 0) value = (value & ~this.#ownMask) | this.#ownRead(address, cell);
    if (fault?.kind === "data-line") value = forced(value, 1 << fault.bit, fault.value);
    if (fault?.kind === "data-bridge") value = bridged(value, fault.bit, fault.other, fault.wiring);
    return (value & this.#bitMask) | (floating & ~this.#bitMask);
  }

  write(address: number, word: number): void {
    const cell = this.#cellOf[address] ?? noCell;
    const fault = this.#fault;
    if (fault?.kind === "no-strobe") return;
    if (this.#time.chargeCycles !== undefined) this.#touch(cell & this.#rowMask);
    const value = fault?.kind === "data-bridge" ? bridged(word, fault.bit, fault.other, fault.wiring) : word;
    if (fault?.kind === "chip-address-pin") {
      this.#words[cell] = (value & ~this.#ownMask) | ((this.#words[cell] ?? 0) & this.#ownMask);
      const other = this.#chipCellOf[address] ?? cell;
      this.#words[other] = ((this.#words[other] ?? 0) & ~this.#ownMask) | (value & this.#ownMask);
      return;
    }
    this.#words[cell] = value;
    if (this.#chip === undefined) return;
    this.#forget();
    this.#chip.write(cell, this.#gathered(value));
    if (fault?.kind === "cell" && fault.fault.kind === "DRF") this.#written = this.#time.now();
  }

  #ownRead(address: number, cell: number): number {
    const fault = this.#fault;
    if (fault?.kind === "output") return fault.value === 1 ? this.#ownMask : 0;
    if (fault?.kind === "chip-address-pin")
      return (this.#words[this.#chipCellOf[address] ?? cell] ?? 0) & this.#ownMask;
    const chip = this.#chip;
    if (chip === undefined) return (this.#words[cell] ?? 0) & this.#ownMask;
    this.#forget();
    chip.read(cell);
    let value = 0;
    for (const [k, bit] of this.#ownBits.entries()) if (((chip.output[k] ?? 0) & 1) === 1) value |= 1 << bit;
    return value;
  }

  /** Lets the cell that forgets lose its value if nothing was written for long enough. */
  #forget(): void {
    const fault = this.#fault;
    if (fault?.kind !== "cell" || fault.fault.kind !== "DRF") return;
    if (this.#time.now() - this.#written >= this.#time.retentionCycles) this.#chip?.pause();
  }

  #gathered(value: number): number {
    let word = 0;
    for (const [k, bit] of this.#ownBits.entries()) word |= ((value >> bit) & 1) << k;
    return word;
  }

  /** A row that was left alone for too long has lost its charge; what that reads as depends on the half of the chip. */
  #touch(row: number): void {
    const now = this.#time.now();
    const since = now - (this.#touched[row] ?? 0);
    this.#touched[row] = now;
    if (since <= (this.#time.chargeCycles ?? 0)) return;
    const lost = (row & ((this.#rowMask + 1) >> 1)) === 0 ? 0x00 : 0xff;
    const rowMask = (1 << this.#columnShift) - 1;
    for (let cell = 0; cell < this.#words.length; cell += 1)
      if ((cell & rowMask & this.#rowMask) === row) this.#words[cell] = lost;
  }
}

/** [65536] the cell each address reaches: its row, and above it its column. */
function cellsOf(array: MemoryArray, fault: LineFault | undefined): Int32Array {
  const cells = new Int32Array(0x10000).fill(noCell);
  const width = array.lines.length;
  for (const { from, to } of array.copies ?? array.ranges)
    for (let address = from; address <= to; address += 1) {
      const row = rowOf(array, address);
      const column = columnOf(array, address);
      const half = fault?.half;
      cells[address] =
        (half === "column" ? row : changed(row, fault)) |
        ((half === "row" ? column : changed(column, fault)) << width);
    }
  return cells;
}

/** Row or column as it arrives over faulty lines. */
function changed(lines: number, fault: LineFault | undefined): number {
  if (fault === undefined) return lines;
  if (fault.kind === "stuck") return forced(lines, 1 << fault.line, fault.value);
  return bridged(lines, fault.line, fault.other, fault.wiring);
}

function forced(value: number, mask: number, level: Bit): number {
  return level === 1 ? value | mask : value & ~mask;
}

function bridged(value: number, a: number, b: number, wiring: "and" | "or"): number {
  const first = (value >> a) & 1;
  const second = (value >> b) & 1;
  const level = (wiring === "and" ? first & second : first | second) === 1 ? 1 : 0;
  return forced(forced(value, 1 << a, level), 1 << b, level);
}

/** A fault whose places are processor addresses, moved to the chip's own cells. */
function moved(
  fault: MemoryFault,
  wordAt: (address: number) => number,
  cellAt: (address: number) => number,
): MemoryFault {
  if (fault.kind === "AF") {
    const x = wordAt(fault.x);
    return "y" in fault ? { ...fault, x, y: wordAt(fault.y) } : { ...fault, x };
  }
  if ("cell" in fault) return { ...fault, cell: cellAt(fault.cell) };
  return { ...fault, aggressor: cellAt(fault.aggressor), victim: cellAt(fault.victim) };
}
