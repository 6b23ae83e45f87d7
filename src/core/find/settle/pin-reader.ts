import type { Wiring } from "./circuit.js";
import { Supply } from "./condition.js";
import { pairPlanes } from "./pairs.js";
import { copyValue, levelAt, planeCount, planeShift, putValue, valueAt } from "./planes.js";
import { type Program, rowFor, runProgram } from "./program.js";
import { Level, levelMask, wrongFlag } from "./value.js";

/** What pins read is looked up in these; all values are in planes. */
export interface PinTables {
  /** What each net carries. */
  readonly nets: Int32Array;
  /** What each net carries on the healthy board. */
  readonly healthy: Int32Array;
  /** A byte of value.ts that a pin reads whatever its net carries, or -1. */
  readonly pinForce: Int16Array;
  readonly allPhases: number;
}

/** What the pins of parts read: their nets, unless a fault parts the two. An open pin reads as its inputs do. */
export class PinReader {
  private readonly tables: PinTables;
  private readonly netOfPin: Int32Array;
  /** 1 for a MOS input. */
  private readonly readingOfPin: Uint8Array;
  private readonly forcedPin = new Int32Array(planeCount);

  constructor(wiring: Wiring, tables: PinTables) {
    this.tables = tables;
    this.netOfPin = Int32Array.from(wiring.pins, (pin) => pin.net);
    this.readingOfPin = Uint8Array.from(wiring.pins, (pin) => pin.reading);
  }

  /** Pair sets of what the pins read, one after the other. */
  readPairs(pins: readonly number[], row: Int32Array): void {
    const { nets, pinForce, allPhases } = this.tables;
    for (let i = 0; i < pins.length; i += 1) {
      const pin = pins[i] as number;
      const forced = pinForce[pin] as number;
      if (forced < 0)
        this.putPairs(pin, nets, (this.netOfPin[pin] as number) << planeShift, row, i * pairPlanes);
      else {
        putValue(this.forcedPin, 0, forced, allPhases);
        this.putPairs(pin, this.forcedPin, 0, row, i * pairPlanes);
      }
    }
  }

  /** Phases in which a program over the given pins is true on the healthy board. */
  healthyPhases(pins: readonly number[], program: Program): number {
    const { healthy, allPhases } = this.tables;
    const row = rowFor(pins.length, program);
    for (const [i, pin] of pins.entries()) {
      this.putPairs(pin, healthy, (this.netOfPin[pin] as number) << planeShift, row, i * pairPlanes);
    }
    runProgram(program, row);
    return allPhases & ((row[program.result + 1] as number) | (row[program.result + 3] as number));
  }

  /** Pair set of a value, as the pin reads it against what it reads on the healthy board. */
  private putPairs(pin: number, values: Int32Array, from: number, row: Int32Array, at: number): void {
    const { healthy, allPhases: all } = this.tables;
    const net = this.netOfPin[pin] as number;
    const mos = this.readingOfPin[pin] === 1;
    if (net < 0) {
      row.fill(0, at, at + pairPlanes);
      row[at] = mos ? all : 0;
      row[at + 3] = all;
      return;
    }
    const healthyAt = net << planeShift;
    const pulse = values[from + 2] as number;
    const wrong = values[from + 5] as number;
    let zero = values[from] as number;
    let one = values[from + 1] as number;
    let healthyZero = healthy[healthyAt] as number;
    let healthyOne = healthy[healthyAt + 1] as number;
    // Where nobody drives, a TTL input acts as high and a MOS input may read anything.
    const open = all & ~(zero | one);
    const healthyOpen = all & ~(healthyZero | healthyOne);
    one |= open;
    healthyOne |= healthyOpen;
    if (mos) {
      zero |= open;
      healthyZero |= healthyOpen;
    }
    const became1 = healthyZero & one & wrong;
    const became0 = healthyOne & zero & wrong;
    let same0 = healthyZero & zero;
    let same1 = healthyOne & one;
    // Nothing fits only where a value is not marked wrong and yet differs from health; then what is read counts.
    const none = all & ~(same0 | same1 | became0 | became1);
    same0 |= none & zero;
    same1 |= none & one;
    const varying = (same0 | became0) & (same1 | became1);
    row[at] = same0;
    row[at + 1] = became1;
    row[at + 2] = became0;
    row[at + 3] = same1;
    row[at + 4] = varying & pulse;
    row[at + 5] = varying & (values[from + 3] as number) & ~pulse;
  }

  /** Value a pin reads in a phase, as a byte of value.ts. */
  valueAt(pin: number, phase: number): number {
    const forced = this.tables.pinForce[pin] as number;
    if (forced >= 0) return forced;
    const net = this.netOfPin[pin] as number;
    return net < 0 ? Level.floating : valueAt(this.tables.nets, net << planeShift, phase);
  }

  /** Copies what a pin reads in all phases to the start of `into`. */
  copyTo(into: Int32Array, pin: number): void {
    const forced = this.tables.pinForce[pin] as number;
    const net = this.netOfPin[pin] as number;
    if (forced >= 0) putValue(into, 0, forced, this.tables.allPhases);
    else if (net < 0) putValue(into, 0, Level.floating, this.tables.allPhases);
    else copyValue(this.tables.nets, net << planeShift, into, 0);
  }

  /** Phases in which a pin reads wrong information, or is cut off. */
  wrongPhases(pin: number): number {
    const forced = this.tables.pinForce[pin] as number;
    if (forced >= 0) return forced & wrongFlag ? this.tables.allPhases : 0;
    const net = this.netOfPin[pin] as number;
    return net < 0 ? 0 : (this.tables.nets[(net << planeShift) + 5] as number);
  }

  /** Phases in which one of the pins reads wrong information. */
  anyWrongPhases(pins: readonly number[]): number {
    let phases = 0;
    for (let i = 0; i < pins.length; i += 1) phases |= this.wrongPhases(pins[i] as number);
    return phases;
  }

  /** Worst condition, of `Supply`, that the supply pins see. */
  supplyAt(pins: readonly number[]): number {
    const { nets, pinForce } = this.tables;
    let worst: number = Supply.good;
    for (let i = 0; i < pins.length; i += 1) {
      const pin = pins[i] as number;
      const forced = pinForce[pin] as number;
      const at = (this.netOfPin[pin] as number) << planeShift;
      // A good rail, `one` and `loop` alone, is the usual case and gets a short way.
      if (forced < 0 && nets[at] === 0 && nets[at + 2] === 0 && nets[at + 3] !== 0) continue;
      const condition = conditionOf(forced >= 0 ? forced & levelMask : levelAt(nets, at, 0));
      if (condition > worst) worst = condition;
    }
    return worst;
  }
}

function conditionOf(level: number): number {
  switch (level) {
    case Level.railGood:
    case Level.railHigh:
    case Level.low:
    case Level.high:
      return Supply.good;
    case Level.railRippled:
      return Supply.rippled;
    case Level.railLow:
      return Supply.bad;
    default:
      return Supply.absent;
  }
}
