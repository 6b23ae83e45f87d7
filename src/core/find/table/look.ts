import type { Wiring } from "../settle/circuit.js";
import type { Engine } from "../settle/engine.js";
import { isWrong, Level, levelMask, moves } from "../settle/value.js";
import type { ReadBack } from "./read-back.js";

/** Nets and parts of one thing the user meets, found once for a board. */
export interface Path {
  readonly nets: readonly number[];
  /** Pins of connectors on those nets: through them the signal leaves the board. */
  readonly connectorPins: readonly number[];
  /** The same and pins of the keyboard. */
  readonly contactPins: readonly (readonly number[])[];
}

/** The path over the nets of these names. */
export function pathOf(wiring: Wiring, names: readonly string[]): Path {
  const nets = names.flatMap((name) => wiring.netIndex.get(name) ?? []);
  const pinsOf = (net: number, families: readonly string[]): number[] =>
    (wiring.netPins[net] ?? []).filter((pin) => {
      const family = wiring.parts[wiring.pins[pin]?.part ?? -1]?.type.family;
      return family !== undefined && families.includes(family);
    });
  return {
    nets,
    connectorPins: nets.flatMap((net) => pinsOf(net, ["connector"])),
    contactPins: nets.map((net) => pinsOf(net, ["keyboard", "connector"])),
  };
}

/** What can be read off one settled board. */
export class Look {
  readonly engine: Engine;
  private readonly seen: Uint8Array;
  private readonly start: number;

  constructor(engine: Engine, seen: Uint8Array, start: number) {
    this.engine = engine;
    this.seen = seen;
    this.start = start;
  }

  /** Value of a net over the phases together. */
  at(net: number): number {
    return this.seen[this.start + net] as number;
  }

  levelOf(net: number): number {
    return this.at(net) & levelMask;
  }

  anyMoves(nets: readonly number[]): boolean {
    for (const net of nets) if (moves(this.at(net))) return true;
    return false;
  }

  countWrong(nets: readonly number[]): number {
    let count = 0;
    for (const net of nets) if (isWrong(this.at(net))) count += 1;
    return count;
  }

  /** True if a connector pin on the path is cut off: the signal is there but does not leave the board. */
  cut(path: Path): boolean {
    return this.anyPinCut(path.connectorPins);
  }

  /** True if the processor misreads a net: a data pin is wrong when it reads it, and nothing beside it is to blame. */
  misread(ways: readonly ReadBack[]): boolean {
    return ways.some((way) => this.misreadPhases(way) !== 0);
  }

  /** True if what the processor reads instead is always high. */
  misreadHigh(ways: readonly ReadBack[]): boolean {
    return ways.every((way) => {
      const phases = this.misreadPhases(way);
      for (let phase = 0; phase < this.engine.phaseCount; phase += 1) {
        const wrong = ((phases >> phase) & 1) === 1;
        if (wrong && (this.engine.pins.valueAt(way.pin, phase) & levelMask) !== Level.high) return false;
      }
      return true;
    });
  }

  private misreadPhases({ pin, phases, beside }: ReadBack): number {
    const { pins } = this.engine;
    return pins.wrongPhases(pin) & phases & ~pins.anyWrongPhases(beside);
  }

  /** True if a matrix line, given by its place in the path, is wrong, or cut off at the keyboard or a plug. */
  deadLine(path: Path, line: number): boolean {
    const net = path.nets[line] ?? -1;
    return isWrong(this.at(net)) || this.anyPinCut(path.contactPins[line] ?? []);
  }

  private anyPinCut(pins: readonly number[]): boolean {
    for (const pin of pins) if ((this.engine.pinForce[pin] as number) >= 0) return true;
    return false;
  }

  anyFault(parts: readonly number[], kind: "someCells" | "silent"): boolean {
    for (const part of parts) if (this.engine.partFaults[part]?.[kind] === true) return true;
    return false;
  }
}
