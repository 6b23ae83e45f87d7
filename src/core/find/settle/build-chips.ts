import { type Expression, expressionPins } from "../../board/expression.js";
import type { Behaviour } from "../../board/part-type.js";
import { type CircuitPart, type Driver, pinNamed, type Wiring } from "./circuit.js";
import { logicElement, type RegisterOutput, registerElement } from "./elements-logic.js";
import { type MemoryBit, memoryElement, peripheralElement } from "./elements-memory.js";
import { followsElement, steadySourceElement } from "./elements-passive.js";
import { type ProcessorWiring, processorElement } from "./elements-processor.js";
import type { Element } from "./engine.js";
import { compileExpression, type Program } from "./program.js";
import { Level, partTimeFlag } from "./value.js";

/** Elements and drivers as they are gathered, part by part. */
export interface Assembly {
  readonly wiring: Wiring;
  readonly elements: Element[];
  readonly drivers: Driver[];
  /** Nets with a resistor to a supply net. */
  readonly pulled: ReadonlySet<number>;
  processor: { readonly wiring: ProcessorWiring; readonly element: Element } | undefined;
}

type BehaviourOf<K extends Behaviour["kind"]> = Extract<Behaviour, { kind: K }>;

/** Adds what an integrated circuit puts on its nets. Parts whose behaviour follows from their wiring come later. */
export function addChip(assembly: Assembly, part: CircuitPart): void {
  const behaviour = part.type.behaviour;
  switch (behaviour.kind) {
    case "logic":
      return addLogic(assembly, part, behaviour);
    case "memory":
      return addMemory(assembly, part, behaviour);
    case "processor":
      return addProcessor(assembly, part, behaviour);
    case "peripheral":
      return addPeripheral(assembly, part, behaviour);
    case "follows":
      return addFollows(assembly, part, behaviour.outputs);
    case "cautious":
      return addCautious(assembly, part);
    case "oscillator": {
      const driver = driverAt(assembly, part, behaviour.output);
      if (driver < 0) return;
      const supplies = suppliesOf(assembly.wiring, part);
      assembly.elements.push(
        steadySourceElement({ part: part.index, supplies, driver, usual: Level.pulsing }),
      );
      return;
    }
    default:
  }
}

/** Supply pins of a part that stand on supply nets; a supply pin on a signal net is left to the electrical check. */
export function suppliesOf(wiring: Wiring, part: CircuitPart): number[] {
  return part.pins.filter((pin) => {
    const found = wiring.pins[pin];
    return found?.kind === "power" && found.net >= 0 && wiring.netDuty[found.net] === 1;
  });
}

/** A new driver for a named output pin, or -1 if the pin is open or tied to a supply net. */
function driverAt(assembly: Assembly, part: CircuitPart, name: string): number {
  const pin = pinNamed(assembly.wiring, part, name);
  const net = assembly.wiring.pins[pin]?.net ?? -1;
  if (net < 0 || assembly.wiring.netDuty[net] !== 0) return -1;
  assembly.drivers.push({ net, pin, part: part.index });
  return assembly.drivers.length - 1;
}

/** Compiles expressions of one part over a shared list of input pins. */
function inputList(assembly: Assembly, part: CircuitPart, expressions: readonly (Expression | undefined)[]) {
  const names = [...new Set(expressions.flatMap((e) => (e === undefined ? [] : expressionPins(e))))];
  const pins = names.map((name) => pinNamed(assembly.wiring, part, name));
  return { pins, compile: (e: Expression): Program => compileExpression(e, (name) => names.indexOf(name)) };
}

function addLogic(assembly: Assembly, part: CircuitPart, behaviour: BehaviourOf<"logic">): void {
  const supplies = suppliesOf(assembly.wiring, part);
  for (const [name, expression] of Object.entries(behaviour.outputs)) {
    const driver = driverAt(assembly, part, name);
    if (driver < 0) continue;
    const enable = behaviour.enables?.[name];
    const inputs = inputList(assembly, part, [expression, enable]);
    const pin = assembly.drivers[driver]?.pin ?? -1;
    assembly.elements.push(
      logicElement({
        part: part.index,
        inputs: inputs.pins,
        supplies,
        driver,
        program: inputs.compile(expression),
        ...(enable === undefined ? {} : { enable: inputs.compile(enable) }),
        openCollector: assembly.wiring.pins[pin]?.kind === "oc",
      }),
    );
  }
  for (const register of behaviour.registers ?? []) {
    const { clear, preset, load, run } = register;
    const enables = behaviour.enables ?? {};
    const inputs = inputList(assembly, part, [
      ...[clear, preset, load, run, register.clock],
      ...register.outputs.flatMap((o) => [
        o.data,
        enables[o.pin],
        o.inverted === undefined ? undefined : enables[o.inverted],
      ]),
    ]);
    const outputs: RegisterOutput[] = [];
    for (const output of register.outputs) {
      for (const [name, inverted] of [
        [output.pin, false],
        [output.inverted, true],
      ] as const) {
        if (name === undefined) continue;
        const driver = driverAt(assembly, part, name);
        if (driver < 0) continue;
        const enable = enables[name];
        outputs.push({
          driver,
          inverted,
          ...(output.data === undefined ? {} : { data: inputs.compile(output.data) }),
          ...(enable === undefined ? {} : { enable: inputs.compile(enable) }),
        });
      }
    }
    if (outputs.length === 0) continue;
    const sampled = part.part.samplesIn;
    let samplePhases = 0;
    for (const [k, phase] of assembly.wiring.board.phases.entries()) {
      if (sampled === undefined || sampled.includes(phase.id)) samplePhases |= 1 << k;
    }
    assembly.elements.push(
      registerElement({
        part: part.index,
        kind: register.kind,
        inputs: inputs.pins,
        supplies,
        clock: pinNamed(assembly.wiring, part, register.clock),
        ...(clear === undefined ? {} : { clear: inputs.compile(clear) }),
        ...(preset === undefined ? {} : { preset: inputs.compile(preset) }),
        ...(load === undefined ? {} : { load: inputs.compile(load) }),
        ...(run === undefined ? {} : { run: inputs.compile(run) }),
        outputs,
        samplePhases,
      }),
    );
  }
}

/** Input pin and driver of each data bit; an open data pin is left out. */
function dataBits(
  assembly: Assembly,
  part: CircuitPart,
  bits: readonly { in?: string | undefined; out: string }[],
  written: boolean,
): MemoryBit[] {
  return bits.map((bit) => ({
    inputPin: written ? pinNamed(assembly.wiring, part, bit.in ?? bit.out) : -1,
    driver: driverAt(assembly, part, bit.out),
  }));
}

function addMemory(assembly: Assembly, part: CircuitPart, behaviour: BehaviourOf<"memory">): void {
  const { wiring } = assembly;
  const controls = inputList(assembly, part, [behaviour.read, behaviour.write]);
  const bits = dataBits(assembly, part, behaviour.data, behaviour.content === "ram").filter(
    (bit) => bit.driver >= 0,
  );
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
    }),
  );
}

function addProcessor(assembly: Assembly, part: CircuitPart, behaviour: BehaviourOf<"processor">): void {
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
  };
  const element = processorElement(own);
  assembly.elements.push(element);
  if (assembly.processor === undefined || wiring.board.processor === part.part.ref) {
    assembly.processor = { wiring: own, element };
  }
}

function addPeripheral(assembly: Assembly, part: CircuitPart, behaviour: BehaviourOf<"peripheral">): void {
  const { wiring } = assembly;
  const controls = inputList(assembly, part, [
    behaviour.select,
    behaviour.read,
    behaviour.write,
    behaviour.reset,
  ]);
  const pinsOf = (names: readonly string[]): number[] =>
    names.map((name) => pinNamed(wiring, part, name)).filter((pin) => (wiring.pins[pin]?.net ?? -1) >= 0);
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
  ).filter((bit) => bit.driver >= 0);
  assembly.elements.push(
    peripheralElement({
      part: part.index,
      controls: controls.pins,
      registers: pinsOf(behaviour.registers),
      clocks: pinsOf(behaviour.clocks),
      supplies: suppliesOf(wiring, part),
      inputs: pinsOf(reported.filter((name) => !outputNames.includes(name))),
      read: controls.compile(["and", behaviour.select, behaviour.read]),
      write: controls.compile(["and", behaviour.select, behaviour.write]),
      ...(behaviour.reset === undefined ? {} : { reset: controls.compile(behaviour.reset) }),
      data,
      outputs: driversOf(outputNames),
      interrupts: driversOf(behaviour.interrupts),
    }),
  );
}

function addFollows(
  assembly: Assembly,
  part: CircuitPart,
  outputs: Readonly<Record<string, readonly string[]>>,
): void {
  const { wiring } = assembly;
  for (const [name, dependencies] of Object.entries(outputs)) {
    const driver = driverAt(assembly, part, name);
    if (driver < 0) continue;
    assembly.elements.push(
      followsElement({
        part: part.index,
        inputs: dependencies
          .map((n) => pinNamed(wiring, part, n))
          .filter((pin) => (wiring.pins[pin]?.net ?? -1) >= 0),
        supplies: suppliesOf(wiring, part),
        driver,
        usual: Level.pulsing,
        partTime: 0,
      }),
    );
  }
}

function addCautious(assembly: Assembly, part: CircuitPart): void {
  const { wiring } = assembly;
  const connected = part.pins.filter((pin) => (wiring.pins[pin]?.net ?? -1) >= 0);
  const inputs = connected.filter((pin) => ["in", "bidir"].includes(wiring.pins[pin]?.kind ?? ""));
  for (const pin of connected) {
    const found = wiring.pins[pin];
    if (found === undefined || !["out", "tri", "oc"].includes(found.kind)) continue;
    const driver = driverAt(assembly, part, found.name);
    if (driver < 0) continue;
    const shared = found.kind === "out" ? 0 : partTimeFlag;
    assembly.elements.push(
      followsElement({
        part: part.index,
        inputs,
        supplies: suppliesOf(wiring, part),
        driver,
        usual: Level.pulsing,
        partTime: shared,
      }),
    );
  }
}
