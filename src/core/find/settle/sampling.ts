import type { BoardPhase } from "../../board/board.js";
import { expressionPins } from "../../board/expression.js";
import type { BehaviourOf } from "./assembly.js";
import { type CircuitPart, pinNamed, type Wiring } from "./circuit.js";

type Register = NonNullable<BehaviourOf<"logic">["registers"]>[number];

/** When a register takes its data. */
export interface Sampling {
  /** Phases as a bit set. */
  readonly samplePhases: number;
  /** True if only the processor writes to it. */
  readonly written: boolean;
}

/**
 * Phases, as a bit set, in which data on these nets can be meant for what listens there: where all of them belong to the
 * processor's data bus, those in which it writes, else all. On a board whose strobes are known only to move, a part on
 * the bus would otherwise seem to take whatever the processor reads elsewhere.
 */
export function writablePhases(wiring: Wiring, nets: readonly number[]): number {
  const all = 2 ** wiring.phaseCount - 1;
  const connected = nets.filter((net) => net >= 0);
  if (connected.length === 0) return all;
  const bus = new Set(wiring.parts.flatMap((part) => dataNets(wiring, part)));
  if (!connected.every((net) => bus.has(net))) return all;
  let writes = 0;
  for (const [k, phase] of wiring.board.phases.entries()) if (isWrite(phase)) writes |= 1 << k;
  return writes === 0 ? all : writes;
}

/**
 * When a register takes its data: in the phases that the board file names. Where it names none, a flip-flop takes them
 * whenever they can be meant for it (see `writablePhases`), a latch always: it may hold addresses.
 */
export function samplingOf(wiring: Wiring, part: CircuitPart, register: Register): Sampling {
  const { phases } = wiring.board;
  const named = part.part.samplesIn;
  const all = 2 ** wiring.phaseCount - 1;
  let samplePhases =
    register.kind === "edge" ? writablePhases(wiring, inputNets(wiring, part, register)) : all;
  const onBus = samplePhases !== all;
  if (named !== undefined) {
    samplePhases = 0;
    for (const [k, phase] of phases.entries()) if (named.includes(phase.id)) samplePhases |= 1 << k;
  }
  const onlyWrites = phases.every((phase, k) => ((samplePhases >> k) & 1) === 0 || isWrite(phase));
  return { samplePhases, written: (named !== undefined || onBus) && onlyWrites };
}

function isWrite(phase: BoardPhase): boolean {
  return phase.cycle.endsWith("write");
}

/** Nets of a processor's data pins; none for other parts. */
function dataNets(wiring: Wiring, { type: { behaviour }, pins }: CircuitPart): number[] {
  if (behaviour.kind !== "processor") return [];
  return pins.flatMap((pin) => {
    const found = wiring.pins[pin];
    return found !== undefined && behaviour.data.includes(found.name) ? [found.net] : [];
  });
}

function inputNets(wiring: Wiring, part: CircuitPart, register: Register): number[] {
  const names = register.outputs.flatMap(({ data }) => (data === undefined ? [] : expressionPins(data)));
  return names.map((name) => wiring.pins[pinNamed(wiring, part, name)]?.net ?? -1);
}
