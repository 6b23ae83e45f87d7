import type { Board } from "../../board/board.js";
import { type Assembly, addChip } from "./build-chips.js";
import { addPassives, type Link, linksOfPart, pullsOfLinks } from "./build-passives.js";
import { type CircuitPart, layWiring, type TypeSource, type Wiring } from "./circuit.js";
import { judgeProcessor, type ProcessorVerdict, type ProcessorWiring } from "./elements-processor.js";
import { type Element, Engine } from "./engine.js";
import { Level, levelMask, levelName } from "./value.js";

/** A board ready for settling, with its healthy state found. */
export interface Circuit {
  readonly wiring: Wiring;
  readonly engine: Engine;
  readonly links: readonly Link[];
  readonly processor: { readonly wiring: ProcessorWiring; readonly element: Element } | undefined;
  /** What keeps the healthy board from being explained; empty if all is well. */
  readonly unexplained: readonly UnexplainedNet[];
}

/** A net whose healthy value the model cannot account for. */
export interface UnexplainedNet {
  readonly net: string;
  readonly phase: string;
  readonly reason: string;
}

/**
 * Builds the circuit of a board and finds its healthy state: the values that follow from the levels the board file
 * gives, the processor's cycle in each phase, and the true functions of everything else.
 * Throws `RangeError` for an unknown part type or a behaviour that names a pin its type lacks.
 */
export function buildCircuit(board: Board, types: TypeSource): Circuit {
  const wiring = layWiring(board, types);
  const links = wiring.parts.flatMap((part) => linksOfPart(wiring, part));
  const pulls = pullsOfLinks(wiring, links);
  const pulled = new Set(pulls.map((pull) => pull.net));
  const assembly: Assembly = { wiring, elements: [], drivers: [], pulled, processor: undefined };
  // Peripheral ports come last: whether a port pin is an input shows from what else drives its net.
  const isPeripheral = (part: CircuitPart): boolean => part.type.behaviour.kind === "peripheral";
  for (const part of wiring.parts) if (!isPeripheral(part)) addChip(assembly, part);
  for (const part of wiring.parts) if (isPeripheral(part)) addChip(assembly, part);
  addPassives(assembly, links, pulls);
  const engine = new Engine(wiring, assembly.elements, assembly.drivers, pulls);
  findHealth(engine);
  const unexplained = checkHealth(engine, assembly.processor);
  return { wiring, engine, links, processor: assembly.processor, unexplained };
}

function findHealth(engine: Engine): void {
  const { wiring, phaseCount } = engine;
  const driven = new Set(engine.drivers.map((driver) => driver.net));
  engine.findingHealth = true;
  for (let net = 0; net < wiring.nets.length; net += 1) {
    const duty = wiring.netDuty[net];
    for (let phase = 0; phase < phaseCount; phase += 1) {
      const cell = net * phaseCount + phase;
      const given = wiring.givenLevel[cell] as number;
      const level =
        duty === 1
          ? Level.railGood
          : duty === 2
            ? Level.low
            : given >= 0
              ? given
              : driven.has(net)
                ? Level.pulsing
                : Level.floating;
      engine.values[cell] = level;
      engine.healthy[cell] = level;
    }
  }
  engine.drive.fill(Level.floating);
  for (const [driver, { net }] of engine.drivers.entries()) {
    for (let phase = 0; phase < phaseCount; phase += 1) {
      engine.drive[driver * phaseCount + phase] = engine.values[net * phaseCount + phase] as number;
    }
  }
  for (let net = 0; net < wiring.nets.length; net += 1) engine.touchNet(net);
  for (let e = 0; e < engine.elements.length; e += 1) engine.makeDue(e, engine.allPhases);
  engine.settle(60);
  engine.healthyDrive.set(engine.drive);
  engine.findingHealth = false;
  engine.keep();
}

/** Settles once more with nothing wrong: whatever changes, fights or never came to rest is unexplained. */
function checkHealth(
  engine: Engine,
  processor: { readonly wiring: ProcessorWiring; readonly element: Element } | undefined,
): UnexplainedNet[] {
  const { wiring, phaseCount } = engine;
  const found: UnexplainedNet[] = [];
  const phaseName = (phase: number): string => wiring.board.phases[phase]?.id ?? "?";
  const note = (net: number, phase: number, reason: string): void => {
    found.push({ net: wiring.nets[net] ?? "?", phase: phaseName(phase), reason });
  };
  for (const net of engine.unsettledNets) if (net >= 0) note(net, 0, "its value never comes to rest");
  const mark = engine.mark();
  for (let e = 0; e < engine.elements.length; e += 1) engine.makeDue(e, engine.allPhases);
  engine.settle();
  for (const cell of engine.changedCells(mark)) {
    const net = Math.floor(cell / phaseCount);
    note(
      net,
      cell % phaseCount,
      `found ${levelName(engine.values[cell] as number)}, expected ${levelName(engine.healthy[cell] as number)}`,
    );
  }
  engine.undo(mark);
  const driven = new Set(engine.drivers.map((driver) => driver.net));
  for (let net = 0; net < wiring.nets.length; net += 1) {
    const pins = wiring.netPins[net] ?? [];
    const read = pins.some((pin) => wiring.pins[pin]?.kind === "in");
    for (let phase = 0; phase < phaseCount; phase += 1) {
      const level = (engine.healthy[net * phaseCount + phase] as number) & levelMask;
      if (level === Level.fightLow || level === Level.fightPulsing)
        note(net, phase, "two outputs drive it at once");
    }
    const level = engine.healthy[net * phaseCount] as number;
    const floats = level === Level.floating && !driven.has(net);
    if (floats && read && pins.length > 1) note(net, 0, "nothing drives it");
  }
  if (processor !== undefined) {
    const verdict: ProcessorVerdict = judgeProcessor(engine, processor.wiring, processor.element);
    if (verdict.outcome !== "running") {
      const net = wiring.pins[verdict.pin]?.net ?? -1;
      note(net, 0, `the processor would not run (${verdict.outcome})`);
    }
  }
  return found;
}
