import type { BoardPhase } from "../../board/board.js";
import { type Assembly, type BehaviourOf, driverAt, inputList, suppliesOf } from "./assembly.js";
import { type CircuitPart, pinNamed, type Wiring } from "./circuit.js";
import { type MemoryBit, memoryElement, peripheralElement } from "./elements-memory.js";
import { type ProcessorWiring, processorElement, readingPhases } from "./elements-processor.js";
import { writablePhases } from "./sampling.js";

/** Input pin and driver of each data bit; an open data pin is left out. */
function dataBits(
  assembly: Assembly,
  part: CircuitPart,
  bits: readonly { in?: string | undefined; out: string }[],
  written: boolean,
): MemoryBit[] {
  return bits
    .map((bit, number) => ({
      bit: number,
      inputPin: written ? pinNamed(assembly.wiring, part, bit.in ?? bit.out) : -1,
      driver: driverAt(assembly, part, bit.out),
    }))
    .filter((bit) => bit.driver >= 0);
}

function dataPhases(wiring: Wiring, bits: readonly MemoryBit[]): number {
  return writablePhases(
    wiring,
    bits.map(({ inputPin }) => wiring.pins[inputPin]?.net ?? -1),
  );
}

/** Adds a memory chip. */
export function addMemory(assembly: Assembly, part: CircuitPart, behaviour: BehaviourOf<"memory">): void {
  const { wiring } = assembly;
  const controls = inputList(assembly, part, [behaviour.read, behaviour.write]);
  const bits = dataBits(assembly, part, behaviour.data, behaviour.content === "ram");
  if (bits.length === 0) return;
  assembly.elements.push(
    memoryElement({
      part: part.index,
      content: behaviour.content,
      controls: controls.pins,
      address: behaviour.address
        .map((name) => pinNamed(wiring, part, name))
        .filter((pin) => (wiring.pins[pin]?.net ?? -1) >= 0),
      strobes: (behaviour.strobes ?? []).map((name) => pinNamed(wiring, part, name)),
      supplies: suppliesOf(wiring, part),
      read: controls.compile(behaviour.read),
      ...(behaviour.write === undefined ? {} : { write: controls.compile(behaviour.write) }),
      bits,
      writablePhases: dataPhases(wiring, bits),
      refreshPhases: behaviour.refreshRows === undefined ? 0 : phasesOf(wiring.board.phases, "refresh"),
    }),
  );
}

function phasesOf(phases: readonly BoardPhase[], cycle: BoardPhase["cycle"]): number {
  let found = 0;
  for (const [k, phase] of phases.entries()) if (phase.cycle === cycle) found |= 1 << k;
  return found;
}

/** Adds a processor; the one the board names, or the first, is the one whose state is judged. */
export function addProcessor(
  assembly: Assembly,
  part: CircuitPart,
  behaviour: BehaviourOf<"processor">,
): void {
  const { wiring } = assembly;
  const line = (name: string) => ({
    pin: pinNamed(wiring, part, name),
    driver: driverAt(assembly, part, name),
  });
  const connected = <T extends { driver: number }>(lines: readonly T[]): T[] =>
    lines.filter((l) => l.driver >= 0);
  const controlNames = new Set(
    Object.values(behaviour.cycles).flatMap((levels) => Object.keys(levels ?? {})),
  );
  const controls = [...controlNames].map((name) => {
    const levels: Record<string, "low" | "high"> = {};
    for (const [cycle, byPin] of Object.entries(behaviour.cycles)) {
      const level = byPin?.[name];
      if (level !== undefined) levels[cycle] = level;
    }
    return { driver: driverAt(assembly, part, name), levels };
  });
  const input = <T extends { pin: string }>(entry: T) => ({
    ...entry,
    pin: pinNamed(wiring, part, entry.pin),
  });
  const own: ProcessorWiring = {
    part: part.index,
    supplies: suppliesOf(wiring, part),
    clock: behaviour.clock.map((name) => pinNamed(wiring, part, name)),
    reset: input(behaviour.reset),
    holds: behaviour.holds.map(input),
    interrupts: behaviour.interrupts.map(input),
    address: connected(behaviour.address.map(line)),
    data: connected(behaviour.data.map(line)),
    controls: connected(controls),
    clockOutputs: (behaviour.clockOutputs ?? [])
      .map((name) => driverAt(assembly, part, name))
      .filter((d) => d >= 0),
    startPhases: readingPhases(wiring.board.phases, "start-code"),
    workspacePhases: readingPhases(wiring.board.phases, "workspace"),
    roms: wiring.board.memory
      .filter((region) => region.kind === "rom")
      .flatMap((region) => region.chips.flatMap((chip) => wiring.partIndex.get(chip.part) ?? [])),
  };
  const element = processorElement(own);
  assembly.elements.push(element);
  if (assembly.processor === undefined || wiring.board.processor === part.part.ref) {
    assembly.processor = { wiring: own, element };
  }
}

/** Adds a peripheral; what drives the nets of its port pins must have been added before. */
export function addPeripheral(
  assembly: Assembly,
  part: CircuitPart,
  behaviour: BehaviourOf<"peripheral">,
): void {
  const { wiring } = assembly;
  const controls = inputList(assembly, part, [
    behaviour.select,
    behaviour.read,
    behaviour.write,
    behaviour.reset,
  ]);
  const isConnected = (pin: number): boolean => (wiring.pins[pin]?.net ?? -1) >= 0;
  const pinsOf = (names: readonly string[]): number[] =>
    names.map((name) => pinNamed(wiring, part, name)).filter(isConnected);
  // Port pins stand eight to a port in the part type, so pin i goes with data bit i modulo the width of the bus.
  const bitOf = (index: number): number => index % behaviour.data.length;
  const senses = new Set([
    ...(wiring.board.chain.keys?.sense ?? []),
    ...(wiring.board.chain.tape?.input ?? []),
  ]);
  const driven = new Set(assembly.drivers.map((driver) => driver.net));
  const reported: string[] = [...behaviour.inputs];
  /** A port pin is an input where something else drives its net or the board says that the machine senses it. */
  const isInput = (name: string): boolean => {
    const found = wiring.pins[pinNamed(wiring, part, name)];
    if (found === undefined || found.kind !== "bidir" || found.net < 0) return false;
    return (
      driven.has(found.net) || assembly.pulled.has(found.net) || senses.has(wiring.nets[found.net] ?? "")
    );
  };
  const outputNames = behaviour.outputs.filter((name) => !isInput(name));
  for (const name of behaviour.outputs) if (isInput(name) && !reported.includes(name)) reported.push(name);
  const driversOf = (names: readonly string[]): number[] =>
    names.map((name) => driverAt(assembly, part, name)).filter((driver) => driver >= 0);
  const data = dataBits(
    assembly,
    part,
    behaviour.data.map((out) => ({ out })),
    true,
  );
  assembly.elements.push(
    peripheralElement({
      part: part.index,
      controls: controls.pins,
      registers: pinsOf(behaviour.registers),
      clocks: pinsOf(behaviour.clocks),
      supplies: suppliesOf(wiring, part),
      inputs: reported
        .map((name, i) => ({ name, bit: bitOf(i), pin: pinNamed(wiring, part, name) }))
        .filter(({ name, pin }) => !outputNames.includes(name) && isConnected(pin)),
      read: controls.compile(["and", behaviour.select, behaviour.read]),
      write: controls.compile(["and", behaviour.select, behaviour.write]),
      ...(behaviour.reset === undefined ? {} : { reset: controls.compile(behaviour.reset) }),
      data,
      writablePhases: dataPhases(wiring, data),
      outputs: behaviour.outputs
        .map((name, i) => ({ name, bit: bitOf(i) }))
        .filter(({ name }) => outputNames.includes(name))
        .map(({ name, bit }) => ({ bit, driver: driverAt(assembly, part, name) }))
        .filter(({ driver }) => driver >= 0),
      interrupts: driversOf(behaviour.interrupts),
    }),
  );
}
