import { type Expression, expressionPins } from "./expression.js";
import type { Behaviour, PartType, PinKind, RegisterBehaviour } from "./part-type.js";

/** Something in a part type that fits the schema but contradicts its own pin list. */
export interface PartTypeFlaw {
  readonly code: string;
  /** Fields and positions from the type inwards, e.g. `["behaviour", "outputs", "1Y"]`. */
  readonly path: readonly (string | number)[];
  readonly message: string;
  /** The pin name that was not found, and the names there are. */
  readonly unknown?: { readonly name: string; readonly among: readonly string[] };
}

type Path = readonly (string | number)[];
type BehaviourOf<K extends Behaviour["kind"]> = Extract<Behaviour, { kind: K }>;

const readable: readonly PinKind[] = ["in", "out", "tri", "oc", "bidir"];
const driving: readonly PinKind[] = ["out", "tri", "oc", "bidir"];
const steadilyDriving: readonly PinKind[] = ["out", "tri", "oc"];
const supplying: readonly PinKind[] = ["power", "ground", "passive", "in"];
const repeatable: readonly PinKind[] = ["power", "ground", "nc"];

/**
 * Checks one part type against itself: pin numbers and names are unique (supply and unconnected pins may share a
 * name), the behaviour names only pins there are and of a fitting kind, every output has a function, tri-state outputs
 * have an enable, rails name power pins and their limits are in order.
 * Codes: `duplicate-pin`, `unknown-pin`, `wrong-pin-kind`, `pin-without-function`, `function-twice`,
 * `enable-missing`, `enable-without-output`, `write-missing`, `wrong-rail`, `wrong-behaviour`, `cycles-differ`.
 */
export function partTypeFlaws(type: PartType): PartTypeFlaw[] {
  const check = new TypeCheck(type);
  check.pinList();
  check.rails();
  check.behaviour(type.behaviour);
  return check.flaws;
}

class TypeCheck {
  readonly flaws: PartTypeFlaw[] = [];
  private readonly type: PartType;
  private readonly kinds = new Map<string, PinKind>();

  constructor(type: PartType) {
    this.type = type;
    if (type.pins !== "as-board") for (const { name, kind } of type.pins) this.kinds.set(name, kind);
  }

  pinList(): void {
    if (this.type.pins === "as-board") return;
    const numbers = new Set<string>();
    const names = new Set<string>();
    for (const [i, { number, name, kind }] of this.type.pins.entries()) {
      if (numbers.has(number))
        this.report("duplicate-pin", ["pins", i], `Pin number ${number} is given twice.`);
      numbers.add(number);
      if (names.has(name) && !repeatable.includes(kind)) {
        this.report("duplicate-pin", ["pins", i], `Pin name ${name} is given twice.`);
      }
      names.add(name);
    }
  }

  rails(): void {
    for (const [i, rail] of this.type.rails.entries()) {
      this.pin(rail.pin, ["power"], ["rails", i, "pin"]);
      if (!(rail.minimumVolt <= rail.nominalVolt && rail.nominalVolt <= rail.maximumVolt)) {
        this.report(
          "wrong-rail",
          ["rails", i],
          `The nominal voltage of ${rail.pin} lies outside its limits.`,
        );
      }
    }
  }

  behaviour(behaviour: Behaviour): void {
    const path = ["behaviour"];
    if (this.type.pins === "as-board" && behaviour.kind !== "plain" && behaviour.kind !== "supply") {
      this.report("wrong-behaviour", path, `A type without a pin list cannot be of kind ${behaviour.kind}.`);
      return;
    }
    switch (behaviour.kind) {
      case "logic":
        this.logic(behaviour, path);
        break;
      case "memory":
        this.memory(behaviour, path);
        break;
      case "processor":
        this.processor(behaviour, path);
        break;
      case "peripheral":
        this.peripheral(behaviour, path);
        break;
      case "follows":
        for (const [output, pins] of Object.entries(behaviour.outputs)) {
          this.pin(output, [...driving, "passive", "power"], [...path, "outputs", output]);
          this.pins(pins, [...readable, "passive", "power"], [...path, "outputs", output]);
        }
        this.everyOutputIn(Object.keys(behaviour.outputs), steadilyDriving);
        break;
      case "oscillator":
        this.pin(behaviour.output, driving, [...path, "output"]);
        this.everyOutputIn([behaviour.output], steadilyDriving);
        break;
      case "supply":
        for (const list of ["inputs", "outputs", "references"] as const) {
          this.pins(behaviour[list], supplying, [...path, list]);
        }
        break;
      default:
    }
  }

  private logic(behaviour: BehaviourOf<"logic">, path: Path): void {
    const driven = new Set<string>();
    const drive = (name: string, at: Path): void => {
      this.pin(name, driving, at);
      if (driven.has(name)) this.report("function-twice", at, `Pin ${name} has two functions.`);
      driven.add(name);
    };
    for (const [name, expression] of Object.entries(behaviour.outputs)) {
      drive(name, [...path, "outputs", name]);
      this.expression(expression, [...path, "outputs", name]);
    }
    for (const [i, register] of (behaviour.registers ?? []).entries()) {
      const at = [...path, "registers", i];
      this.register(register, at);
      for (const [k, output] of register.outputs.entries()) {
        drive(output.pin, [...at, "outputs", k, "pin"]);
        if (output.inverted !== undefined) drive(output.inverted, [...at, "outputs", k, "inverted"]);
      }
    }
    for (const [name, expression] of Object.entries(behaviour.enables ?? {})) {
      const at = [...path, "enables", name];
      this.expression(expression, at);
      if (!driven.has(name))
        this.report("enable-without-output", at, `Pin ${name} has an enable but no function.`);
    }
    for (const name of driven) {
      const kind = this.kinds.get(name);
      if ((kind === "tri" || kind === "bidir") && behaviour.enables?.[name] === undefined) {
        this.report(
          "enable-missing",
          [...path, "enables"],
          `Pin ${name} is of kind ${kind} but has no enable.`,
        );
      }
    }
    this.everyOutputIn([...driven], driving);
  }

  private register(register: RegisterBehaviour, path: Path): void {
    this.pin(register.clock, readable, [...path, "clock"]);
    for (const field of ["clear", "preset", "load", "run"] as const) {
      this.expression(register[field], [...path, field]);
    }
    for (const [k, output] of register.outputs.entries()) {
      this.expression(output.data, [...path, "outputs", k, "data"]);
    }
  }

  private memory(behaviour: BehaviourOf<"memory">, path: Path): void {
    this.pins(behaviour.address, ["in"], [...path, "address"]);
    this.pins(behaviour.strobes ?? [], ["in"], [...path, "strobes"]);
    for (const [i, bit] of behaviour.data.entries()) {
      this.pin(bit.out, ["tri", "bidir", "oc", "out"], [...path, "data", i, "out"]);
      if (bit.in !== undefined) this.pin(bit.in, ["in"], [...path, "data", i, "in"]);
    }
    this.expression(behaviour.read, [...path, "read"]);
    this.expression(behaviour.write, [...path, "write"]);
    if (behaviour.content === "ram" && behaviour.write === undefined) {
      this.report("write-missing", path, "A RAM needs to say when a write takes place.");
    }
    this.everyOutputIn(
      behaviour.data.map((bit) => bit.out),
      driving,
    );
  }

  private processor(behaviour: BehaviourOf<"processor">, path: Path): void {
    this.pins(behaviour.clock, ["in", "passive"], [...path, "clock"]);
    this.pins(behaviour.clockOutputs ?? [], driving, [...path, "clockOutputs"]);
    this.pins(behaviour.address, driving, [...path, "address"]);
    this.pins(behaviour.data, ["bidir"], [...path, "data"]);
    this.pin(behaviour.reset.pin, ["in"], [...path, "reset", "pin"]);
    for (const list of ["holds", "interrupts"] as const) {
      for (const [i, { pin }] of behaviour[list].entries()) this.pin(pin, ["in"], [...path, list, i, "pin"]);
    }
    let first: { cycle: string; pins: string } | undefined;
    for (const [cycle, levels] of Object.entries(behaviour.cycles)) {
      const at = [...path, "cycles", cycle];
      this.pins(Object.keys(levels), driving, at);
      const pins = Object.keys(levels).sort().join(" ");
      first ??= { cycle, pins };
      if (pins !== first.pins) {
        this.report(
          "cycles-differ",
          at,
          `The cycles ${first.cycle} and ${cycle} give the levels of different pins.`,
        );
      }
    }
  }

  private peripheral(behaviour: BehaviourOf<"peripheral">, path: Path): void {
    this.pins(behaviour.data, ["bidir"], [...path, "data"]);
    this.pins(behaviour.registers, ["in"], [...path, "registers"]);
    for (const field of ["select", "read", "write", "reset"] as const) {
      this.expression(behaviour[field], [...path, field]);
    }
    this.pins(behaviour.clocks, ["in", "passive"], [...path, "clocks"]);
    this.pins(behaviour.outputs, driving, [...path, "outputs"]);
    this.pins(behaviour.inputs, ["in", "bidir"], [...path, "inputs"]);
    this.pins(behaviour.interrupts, driving, [...path, "interrupts"]);
    this.everyOutputIn([...behaviour.outputs, ...behaviour.interrupts], steadilyDriving);
  }

  /** Reports pins of the given kinds that the behaviour gives no function. */
  private everyOutputIn(names: readonly string[], kinds: readonly PinKind[]): void {
    if (this.type.pins === "as-board") return;
    for (const [i, { name, kind }] of this.type.pins.entries()) {
      if (!kinds.includes(kind) || names.includes(name)) continue;
      this.report("pin-without-function", ["pins", i], `Pin ${name} is of kind ${kind} but has no function.`);
    }
  }

  private expression(expression: Expression | undefined, path: Path): void {
    if (expression !== undefined) this.pins(expressionPins(expression), readable, path);
  }

  private pins(names: readonly string[], kinds: readonly PinKind[], path: Path): void {
    for (const name of names) this.pin(name, kinds, path);
  }

  private pin(name: string, kinds: readonly PinKind[], path: Path): void {
    if (this.type.pins === "as-board") {
      if (!/^[1-9]\d*$/.test(name)) {
        this.report(
          "unknown-pin",
          path,
          `A type without a pin list names its pins by number, not '${name}'.`,
        );
      }
      return;
    }
    const kind = this.kinds.get(name);
    if (kind === undefined) {
      const unknown = { name, among: [...this.kinds.keys()] };
      this.flaws.push({ code: "unknown-pin", path, message: `There is no pin called '${name}'.`, unknown });
      return;
    }
    if (kinds.includes(kind)) return;
    this.report("wrong-pin-kind", path, `Pin ${name} is of kind ${kind}; expected ${kinds.join(", ")}.`);
  }

  private report(code: string, path: Path, message: string): void {
    this.flaws.push({ code, path, message });
  }
}
