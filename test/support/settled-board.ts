import type { Board } from "../../src/core/board/board.js";
import { applyChanges, type Change, cutOff, revertChanges } from "../../src/core/find/faults/change.js";
import { buildCircuit, type Circuit } from "../../src/core/find/settle/build.js";
import type { PartFault } from "../../src/core/find/settle/condition.js";
import { planeShift, valueAt } from "../../src/core/find/settle/planes.js";
import { isWrong, levelName, wrongFlag } from "../../src/core/find/settle/value.js";
import { loadPartTypes } from "../boards/support.js";
import { tinyBoard } from "./tiny-board.js";

const types = loadPartTypes();

type Levels = NonNullable<Board["phases"][number]["levels"]>;

/** Phases of a board without a processor, one for each set of levels: `a`, `b` and so on. */
export function phasesOf(...levels: readonly Levels[]): Board["phases"] {
  return levels.map((own, i) => {
    const id = String.fromCharCode(97 + i);
    return { id, title: `moment ${id}`, cycle: "none", levels: own };
  });
}

/** A tiny board (see `tinyBoard`) or another, settled; faults are put on it and taken off. */
export class SettledBoard {
  readonly circuit: Circuit;
  private readonly changes: Change[] = [];
  private readonly start: number;

  constructor(board: string | Board, more: Partial<Board> = {}) {
    this.circuit = buildCircuit(typeof board === "string" ? tinyBoard(board, more) : board, types);
    this.start = this.circuit.engine.mark();
  }

  /** What an instrument sees on a net over all phases, in words; `!` after it if the information is wrong. */
  sees(net: string): string {
    return words(this.circuit.engine.unionOf(this.net(net)));
  }

  /** What a net carries in each phase, in words as `sees` gives them. */
  inEachPhase(net: string): string[] {
    const { engine, wiring } = this.circuit;
    const at = this.net(net) << planeShift;
    return wiring.board.phases.map((_, phase) => words(valueAt(engine.nets, at, phase)));
  }

  /** Puts changes on the board and lets them spread. */
  apply(...changes: readonly Change[]): this {
    this.changes.push(...changes);
    applyChanges(this.circuit.engine, changes);
    this.circuit.engine.settle();
    return this;
  }

  /** Takes everything back that was put on. */
  reset(): this {
    revertChanges(this.circuit.engine, this.changes);
    this.circuit.engine.undo(this.start);
    this.changes.length = 0;
    return this;
  }

  /** An output pin, `U1.3`, puts out a level, wrong. */
  stuck(pin: string, level: number): Change {
    return { kind: "driver", driver: this.driver(pin), value: level | wrongFlag };
  }

  /** An input pin, `U1.3`, no longer sees its net. */
  cut(pin: string): Change {
    return { kind: "pin", pin: this.pin(pin), value: cutOff };
  }

  /** A net held at a level. */
  held(net: string, level: number): Change {
    return { kind: "net", net: this.net(net), value: level | wrongFlag };
  }

  /** Two nets that touch. */
  bridge(first: string, second: string): Change {
    return { kind: "bridge", first: this.net(first), second: this.net(second) };
  }

  /** A part that is bad inside. */
  inside(ref: string, fault: PartFault): Change {
    return { kind: "part", part: this.part(ref), fault };
  }

  net(name: string): number {
    return found(this.circuit.wiring.netIndex.get(name), `net ${name}`);
  }

  pin(name: string): number {
    return found(this.circuit.wiring.pinIndex.get(name), `pin ${name}`);
  }

  part(ref: string): number {
    return found(this.circuit.wiring.partIndex.get(ref), `part ${ref}`);
  }

  private driver(name: string): number {
    const pin = this.pin(name);
    const index = this.circuit.engine.drivers.findIndex((driver) => driver.pin === pin);
    return found(index < 0 ? undefined : index, `driver at ${name}`);
  }
}

function words(value: number): string {
  return `${levelName(value)}${isWrong(value) ? "!" : ""}`;
}

function found(index: number | undefined, what: string): number {
  if (index === undefined) throw new RangeError(`the board has no ${what}`);
  return index;
}
