import type { Board } from "../../board/board.js";
import type { Assembly } from "./assembly.js";
import { addChip } from "./build-chips.js";
import { addPassives, type Link, linksOfPart, pullsOfLinks } from "./build-passives.js";
import { type CircuitPart, layWiring, type TypeSource, type Wiring } from "./circuit.js";
import { judgeProcessor, type ProcessorVerdict, type ProcessorWiring } from "./elements-processor.js";
import { type Element, Engine } from "./engine.js";
import { copyValue, levelAt, planeShift, putValue, valueAt } from "./planes.js";
import { findResetPath, type ResetPath } from "./reset-path.js";
import { fusesInFront } from "./shorts.js";
import { Level, levelName } from "./value.js";

/** The healthy state is found from a guess, so loops may need more rounds than a fault does. */
const healthLimit = 60;

/** A board ready for settling, with its healthy state found. */
export interface Circuit {
  readonly wiring: Wiring;
  readonly engine: Engine;
  readonly links: readonly Link[];
  readonly processor: CircuitProcessor | undefined;
  /** Fuses that blow when a supply net is shorted, as parts, by net. */
  readonly fusesInFront: readonly (readonly number[])[];
  /** What keeps the healthy board from being explained; empty if all is well. */
  readonly unexplained: readonly UnexplainedNet[];
}

/** The processor whose state is judged. */
export interface CircuitProcessor {
  readonly wiring: ProcessorWiring;
  readonly element: Element;
  /** The way of its reset, if one is found. */
  readonly reset: ResetPath | undefined;
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
  const restless = [...engine.unsettledNets];
  const found = assembly.processor;
  const reset = found === undefined ? undefined : findResetPath(engine, found.wiring.reset);
  const processor = found === undefined ? undefined : { ...found, reset };
  const unexplained = checkHealth(engine, processor, restless);
  const fuses = fusesInFront(wiring, assembly.drivers);
  return { wiring, engine, links, processor, fusesInFront: fuses, unexplained };
}

function findHealth(engine: Engine): void {
  const { wiring, phaseCount, allPhases } = engine;
  const driven = new Set(engine.drivers.map((driver) => driver.net));
  engine.findingHealth = true;
  for (let net = 0; net < wiring.nets.length; net += 1) {
    const at = net << planeShift;
    const duty = wiring.netDuty[net];
    const unknown = driven.has(net) ? Level.pulsing : Level.floating;
    putValue(engine.nets, at, duty === 1 ? Level.railGood : duty === 2 ? Level.low : unknown, allPhases);
    for (let phase = 0; duty === 0 && phase < phaseCount; phase += 1) {
      const given = wiring.givenLevel[net * phaseCount + phase] as number;
      if (given >= 0) putValue(engine.nets, at, given, 1 << phase);
    }
    copyValue(engine.nets, at, engine.healthy, at);
  }
  for (const [driver, { net }] of engine.drivers.entries()) {
    copyValue(engine.nets, net << planeShift, engine.drive, driver << planeShift);
  }
  for (let net = 0; net < wiring.nets.length; net += 1) engine.refreshNet(net);
  for (let e = 0; e < engine.elements.length; e += 1) engine.makeDue(e);
  engine.settle(healthLimit);
  engine.healthyDrive.set(engine.drive);
  engine.findingHealth = false;
  engine.keep();
}

/** Settles once more with nothing wrong: whatever changes, fights or never came to rest is unexplained. */
function checkHealth(
  engine: Engine,
  processor: CircuitProcessor | undefined,
  restless: readonly number[],
): UnexplainedNet[] {
  const { wiring, phaseCount } = engine;
  const unexplained: UnexplainedNet[] = [];
  const phaseName = (phase: number): string => wiring.board.phases[phase]?.id ?? "?";
  const note = (net: number, phase: number, reason: string): void => {
    unexplained.push({ net: wiring.nets[net] ?? "?", phase: phaseName(phase), reason });
  };
  for (const net of restless) note(net, 0, "its value never comes to rest");
  const mark = engine.mark();
  for (let e = 0; e < engine.elements.length; e += 1) engine.makeDue(e);
  engine.settle();
  for (const net of engine.changedNets(mark)) {
    for (let phase = 0; phase < phaseCount; phase += 1) {
      const found = valueAt(engine.nets, net << planeShift, phase);
      const expected = valueAt(engine.healthy, net << planeShift, phase);
      if (found !== expected) note(net, phase, `found ${levelName(found)}, expected ${levelName(expected)}`);
    }
  }
  engine.undo(mark);
  const driven = new Set(engine.drivers.map((driver) => driver.net));
  for (let net = 0; net < wiring.nets.length; net += 1) {
    const pins = wiring.netPins[net] ?? [];
    const read = pins.some((pin) => wiring.pins[pin]?.kind === "in");
    for (let phase = 0; phase < phaseCount; phase += 1) {
      const level = levelAt(engine.healthy, net << planeShift, phase);
      if (level === Level.fightLow || level === Level.fightPulsing)
        note(net, phase, "two outputs drive it at once");
    }
    const floats = levelAt(engine.healthy, net << planeShift, 0) === Level.floating && !driven.has(net);
    if (floats && read && pins.length > 1) note(net, 0, "nothing drives it");
  }
  if (processor !== undefined) {
    const verdict: ProcessorVerdict = judgeProcessor(engine, processor.wiring, processor.reset);
    if (verdict.outcome !== "running") {
      const net = wiring.pins[verdict.pin]?.net ?? -1;
      note(net, 0, `the processor would not run (${verdict.outcome})`);
    }
  }
  return unexplained;
}
