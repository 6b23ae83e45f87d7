import { type Assembly, type BehaviourOf, driverAt, inputList, suppliesOf } from "./assembly.js";
import { addMemory, addPeripheral, addProcessor } from "./build-bus-chips.js";
import { type CircuitPart, pinNamed } from "./circuit.js";
import { logicElement } from "./elements-logic.js";
import { followsElement, steadySourceElement } from "./elements-passive.js";
import { type RegisterOutput, registerElement } from "./elements-register.js";
import { samplingOf } from "./sampling.js";
import { Level } from "./value.js";

/** Adds what an integrated circuit puts on its nets. Parts whose behaviour follows from their wiring come later. */
export function addChip(assembly: Assembly, part: CircuitPart): void {
  const behaviour = part.type.behaviour;
  switch (behaviour.kind) {
    case "logic":
      addLogic(assembly, part, behaviour);
      break;
    case "memory":
      addMemory(assembly, part, behaviour);
      break;
    case "processor":
      addProcessor(assembly, part, behaviour);
      break;
    case "peripheral":
      addPeripheral(assembly, part, behaviour);
      break;
    case "follows":
      addFollows(assembly, part, behaviour.outputs);
      break;
    case "cautious":
      addCautious(assembly, part);
      break;
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
        ...samplingOf(assembly.wiring, part, register),
      }),
    );
  }
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
        shared: false,
      }),
    );
  }
}

/**
 * An unknown chip: each output is right only if all inputs are. A pin that may be either drives its net if something
 * listens there and nothing else could be heard: no output, no resistor or link, no connector.
 */
function addCautious(assembly: Assembly, part: CircuitPart): void {
  const { wiring } = assembly;
  const kindOf = (pin: number): string => wiring.pins[pin]?.kind ?? "";
  const connected = part.pins.filter((pin) => (wiring.pins[pin]?.net ?? -1) >= 0);
  const speaking = connected.filter((pin) => kindOf(pin) === "bidir" && speaksAlone(assembly, pin));
  const inputs = connected.filter((pin) => ["in", "bidir"].includes(kindOf(pin)) && !speaking.includes(pin));
  for (const pin of connected) {
    const kind = kindOf(pin);
    if (!["out", "tri", "oc"].includes(kind) && !speaking.includes(pin)) continue;
    const driver = driverAt(assembly, part, wiring.pins[pin]?.number ?? "");
    if (driver < 0) continue;
    const shared = kind === "tri" || kind === "oc";
    assembly.elements.push(
      followsElement({
        part: part.index,
        inputs,
        supplies: suppliesOf(wiring, part),
        driver,
        usual: Level.pulsing,
        shared,
      }),
    );
  }
}

/** True if only this pin can drive its net: all others on it are inputs, and there is at least one. */
function speaksAlone({ wiring, pulled }: Assembly, pin: number): boolean {
  const net = wiring.pins[pin]?.net ?? -1;
  if (net < 0 || pulled.has(net)) return false;
  const others = (wiring.netPins[net] ?? []).filter((other) => other !== pin);
  return others.length > 0 && others.every((other) => wiring.pins[other]?.kind === "in");
}
