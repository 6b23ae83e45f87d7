import type { Board } from "../../../board/board.js";
import { Cpu6502 } from "../../../cpu/cpu-6502.js";
import { CpuZ80 } from "../../../cpu/cpu-z80.js";
import type { CpuStop } from "../../../cpu/stop.js";
import type { TypeSource } from "../../map/circuit.js";
import type { SelfTestPlan } from "../plan.js";
import { BankMemory } from "./bank-memory.js";
import type { BoardFault, MemoryBoardFault } from "./board-fault.js";
import { selectLine } from "./select-line.js";

/** What a machine tells of. Moments are clock cycles since reset. */
export interface MachineEvents {
  /** The line of the bus beacon was active. */
  onSelect(moment: number): void;
  /** A word of the tested memory was read, outside of the band on the screen. */
  onRead?(address: number): void;
  onPort?(moment: number, address: number, value: number): void;
}

/** Seconds for which the makers of dynamic memories with 128 rows vouch; 256 rows have twice that. From memory. */
const vouchedSeconds = 0.002;
const notMapped = 0xff;
const isRom = 0xfe;
/** Opcodes of a waiting loop of a 6502, and the cycles in which it counts and branches. */
const decrementX = 0xca;
const decrementY = 0x88;
const branchNotZero = 0xd0;
const doNothing = 0xea;
const countCycles = 5;

/** A processor that is wired up and running. */
interface Runner {
  reset(): void;
  step(): void;
  /** Clock cycles the core has counted. */
  cycles(): number;
  stopped(): CpuStop | undefined;
}

/** Processor, ROM, memory and beacons of a board, with one fault at most. */
export class Machine {
  readonly #banks: readonly BankMemory[];
  /** [65536] what answers: number of a bank, or one of the two marks above. */
  readonly #map = new Uint8Array(0x10000).fill(notMapped);
  /** [65536] 1 where a read or write makes the select line active. */
  readonly #selects = new Uint8Array(0x10000);
  readonly #rom: Uint8Array;
  readonly #romStart: number;
  readonly #events: MachineEvents;
  readonly #run: Runner;
  /** [65536] cycles of a round of a waiting loop of a 6502, where its counting instruction stands; 0 elsewhere. */
  readonly #waits = new Uint8Array(0x10000);
  #waitAt = -1;
  #skipped = 0;
  /** The last byte on the bus, which stays there where nothing drives it. */
  #bus = 0xff;

  /**
   * `image`: content of the ROM as the processor sees it. `seed`: for what memory holds at power-on. Throws `RangeError`
   * for a fault at a place that is not there, or a beacon whose select line cannot be followed.
   */
  constructor(
    { board, types }: { readonly board: Board; readonly types: TypeSource },
    plan: SelfTestPlan,
    image: Uint8Array,
    fault: BoardFault | undefined,
    events: MachineEvents,
    seed: number,
  ) {
    this.#events = events;
    this.#romStart = plan.rom.start;
    this.#rom = faultyRom(image, plan.rom.start, fault);
    this.#map.fill(isRom, plan.rom.start, plan.rom.start + image.length);
    const time = {
      now: () => this.cycles,
      retentionCycles: plan.retentionSeconds * plan.clockHertz * 0.5,
    };
    const charge = chargeSeconds(plan, fault);
    this.#banks = plan.banks.map(({ array, index }) => {
      for (const { from, to } of array.copies ?? array.ranges) this.#map.fill(index, from, to + 1);
      const isDynamic = array.refreshRows !== undefined && charge !== undefined;
      const rows = fault?.kind === "more-rows" ? 256 : (plan.refresh?.rows ?? 128);
      return new BankMemory(
        array,
        array.refreshRows === undefined ? 1 : rows,
        ofBank(plan, index, fault),
        isDynamic ? { ...time, chargeCycles: charge * plan.clockHertz } : time,
        seed + index,
      );
    });
    const isActive = selectLine(board, types, plan.bus);
    for (let address = 0; address < 0x10000; address += 1)
      if (isActive(plan.bus.space === "io" ? "io-read" : "memory-read", address)) this.#selects[address] = 1;
    this.#run = plan.processor.instructionSet === "z80" ? this.#z80(plan, fault) : this.#m6502();
    this.#run.reset();
  }

  /** Clock cycles since reset. */
  get cycles(): number {
    return this.#run.cycles() + this.#skipped;
  }

  get stopped(): CpuStop | undefined {
    return this.#run.stopped();
  }

  step(): void {
    this.#run.step();
  }

  #read(address: number): number {
    const holder = this.#map[address] ?? notMapped;
    if (holder === isRom) this.#bus = this.#rom[address - this.#romStart] ?? 0xff;
    else if (holder !== notMapped) {
      this.#bus = this.#banks[holder]?.read(address, this.#bus) ?? this.#bus;
      this.#events.onRead?.(address);
    }
    return this.#bus;
  }

  #write(address: number, value: number): void {
    this.#bus = value;
    const holder = this.#map[address] ?? notMapped;
    if (holder < isRom) this.#banks[holder]?.write(address, value);
  }

  #m6502(): Runner {
    for (let k = 0; k + 2 < this.#rom.length; k += 1) {
      const counter = this.#rom[k];
      const at = this.#romStart + k;
      if ((counter !== decrementX && counter !== decrementY) || this.#rom[k + 1] !== branchNotZero) continue;
      // What the loop does before it counts: instructions that do nothing, all in one page with the branch.
      const fillers = 0xfd - (this.#rom[k + 2] ?? 0);
      if (fillers < 0 || fillers > k || ((at - fillers) & 0xff00) !== ((at + 3) & 0xff00)) continue;
      if (this.#rom.subarray(k - fillers, k).some((byte) => byte !== doNothing)) continue;
      this.#waits[at] = countCycles + 2 * fillers;
    }
    const cpu: Cpu6502 = new Cpu6502({
      read: (address, isOpcode) => {
        if (isOpcode && this.#waits[address] !== 0) this.#waitAt = address;
        if (this.#selects[address] === 1) this.#events.onSelect(this.cycles);
        return this.#read(address);
      },
      write: (address, value) => {
        if (this.#selects[address] === 1) this.#events.onSelect(this.cycles);
        if (this.#map[address] === notMapped) this.#events.onPort?.(this.cycles, address, value);
        this.#write(address, value);
      },
    });
    const step = (): void => {
      cpu.step();
      if (this.#waitAt >= 0) this.#skipWait(cpu);
    };
    return { reset: () => cpu.reset(), step, cycles: () => cpu.cycles, stopped: () => cpu.stopped };
  }

  /**
   * Jumps over the rounds of a waiting loop but the last: they read ROM only and count one register down, so nothing is
   * different afterwards but the time and the register.
   */
  #skipWait(cpu: Cpu6502): void {
    const isX = this.#rom[this.#waitAt - this.#romStart] === decrementX;
    const { x, y, p } = cpu.registers;
    const left = isX ? x : y;
    const round = this.#waits[this.#waitAt] ?? 0;
    this.#waitAt = -1;
    if (left < 2) return;
    this.#skipped += (left - 1) * round;
    cpu.setRegisters({ ...(isX ? { x: 1 } : { y: 1 }), p: p & 0x7d });
  }

  #z80(plan: SelfTestPlan, fault: BoardFault | undefined): Runner {
    const isIo = plan.bus.space === "io";
    const isRefreshed = plan.refresh?.by === "processor" && fault?.kind !== "no-refresh";
    const select = (isPort: boolean, address: number): void => {
      if (isPort === isIo && this.#selects[address] === 1) this.#events.onSelect(cpu.tStates);
    };
    const cpu: CpuZ80 = new CpuZ80({
      fetch: (address, refreshAddress) => {
        select(false, address);
        if (isRefreshed) for (const bank of this.#banks) bank.refresh(refreshAddress);
        return this.#read(address);
      },
      read: (address) => {
        select(false, address);
        return this.#read(address);
      },
      write: (address, value) => {
        select(false, address);
        this.#write(address, value);
      },
      input: (port) => {
        select(true, port);
        return this.#bus;
      },
      output: (port, value) => {
        select(true, port);
        this.#bus = value;
        this.#events.onPort?.(cpu.tStates, port & 0xff, value);
      },
    });
    return {
      reset: () => cpu.reset(),
      step: () => cpu.step(),
      cycles: () => cpu.tStates,
      stopped: () => cpu.stopped,
    };
  }
}

/** How long rows keep their charge; undefined if they are refreshed all the time, or there are none. */
function chargeSeconds({ refresh }: SelfTestPlan, fault: BoardFault | undefined): number | undefined {
  if (fault?.kind === "no-refresh" || fault?.kind === "more-rows") return fault.chargeSeconds;
  if (refresh?.by !== "processor") return undefined;
  return refresh.rows === 128 ? vouchedSeconds : 2 * vouchedSeconds;
}

function faultyRom(image: Uint8Array, start: number, fault: BoardFault | undefined): Uint8Array {
  const rom = image.slice();
  if (fault?.kind === "rom-output")
    for (const [k, byte] of rom.entries())
      rom[k] = fault.value === 1 ? byte | fault.bits : byte & ~fault.bits;
  if (fault?.kind !== "rom-bit") return rom;
  const at = fault.address - start;
  const byte = rom[at];
  if (byte === undefined) throw new RangeError(`no ROM at ${fault.address.toString(16)}`);
  rom[at] = byte ^ (1 << fault.bit);
  return rom;
}

/** The fault as far as it is in this bank. */
function ofBank(
  { banks }: SelfTestPlan,
  index: number,
  fault: BoardFault | undefined,
): MemoryBoardFault | undefined {
  if (fault === undefined) return undefined;
  switch (fault.kind) {
    case "all-dead":
      return { kind: "no-strobe", bank: index, role: "row strobe" };
    case "cell":
    case "output":
    case "chip-address-pin":
      return banks[index]?.array.bits.some(({ part }) => part === fault.part) === true ? fault : undefined;
    case "rom-bit":
    case "rom-output":
    case "no-refresh":
    case "more-rows":
      return undefined;
    default:
      return fault.bank === index ? fault : undefined;
  }
}
