import type { Wiring } from "../settle/circuit.js";
import type { Engine } from "../settle/engine.js";
import { isWrong, levelMask, moves } from "../settle/value.js";

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
    return nets.some((net) => moves(this.at(net)));
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

  /** Matrix lines that are wrong, or cut off at the keyboard or at a plug on the way to it. */
  deadLines(path: Path): number {
    let count = 0;
    for (const [i, net] of path.nets.entries()) {
      if (isWrong(this.at(net)) || this.anyPinCut(path.contactPins[i] ?? [])) count += 1;
    }
    return count;
  }

  private anyPinCut(pins: readonly number[]): boolean {
    return pins.some((pin) => (this.engine.pinForce[pin] as number) >= 0);
  }

  anyFault(parts: readonly number[], kind: "someCells" | "silent"): boolean {
    return parts.some((part) => this.engine.partFaults[part]?.[kind] === true);
  }
}
