import type { Board, BoardLevel, BoardPart, BoardPhase } from "../../src/core/board/board.js";
import type { Expression } from "../../src/core/board/expression.js";
import type { PartType } from "../../src/core/board/part-type.js";
import type { PartTypes } from "./support.js";

/** What a net carries at one moment; `undefined`: moving, or not known. */
export type Bit = boolean | undefined;

/** An output that drives a net at a moment. */
export interface ActiveDriver {
  readonly ref: string;
  readonly pin: string;
  /** False if the enable is not definite. */
  readonly certain: boolean;
}

/** A moment to look at: a phase of the board, with its address, levels or cycle changed if wanted. */
export interface MomentRequest {
  readonly phase: string;
  readonly address?: string;
  readonly levels?: Levels;
}

/** A board at one moment. */
export interface Moment {
  /** Level of a net. */
  level(net: string): Bit;
  /** Everything that drives the net, pull resistors apart. */
  drivers(net: string): readonly ActiveDriver[];
}

type Levels = Readonly<Record<string, BoardLevel>>;

interface Drive {
  readonly net: string;
  readonly ref: string;
  readonly pin: string;
  readonly value: Bit;
  /** Whether it drives at all. */
  readonly on: Bit;
}

const writeCycles: readonly BoardPhase["cycle"][] = ["memory-write", "io-write"];

interface Chip {
  readonly part: BoardPart;
  readonly type: PartType;
  /** Nets by pin name (by pin number for types with free pins). */
  readonly nets: ReadonlyMap<string, string>;
}

/**
 * Works out a moment by the truth functions of the part types, in three-valued logic: all nets start as unknown and
 * only what follows becomes definite. Deliberately plain and independent of the product's own settling.
 * Throws `RangeError` for a part of unknown type, an unknown phase, or values that never come to rest.
 */
export function momentsOf(board: Board, types: PartTypes): (request: MomentRequest) => Moment {
  const chips = board.parts.map((part): Chip => {
    const type = types.get(part.type);
    if (type === undefined) throw new RangeError(`${part.ref} is of the unknown type ${part.type}`);
    if (type.pins === "as-board") return { part, type, nets: new Map(Object.entries(part.pins)) };
    const nets = new Map<string, string>();
    for (const { name, number } of type.pins) {
      const net = part.pins[number];
      if (net !== undefined) nets.set(name, net);
    }
    return { part, type, nets };
  });
  const supplies = new Map<string, Bit>([[board.ground, false]]);
  for (const rail of board.rails) supplies.set(rail.net, true);
  const signals = new Set(board.parts.flatMap((part) => Object.values(part.pins)));
  const resistorEnds = new Map<string, string>();
  for (const net of signals) {
    if (supplies.has(net)) signals.delete(net);
    else {
      const far = farEndOfResistor(board, net);
      if (far !== undefined) resistorEnds.set(net, far);
    }
  }
  return (request) => {
    const found = board.phases.find((phase) => phase.id === request.phase);
    if (found === undefined) throw new RangeError(`no phase ${request.phase}`);
    const phase = request.address === undefined ? found : { ...found, address: request.address };
    const given: Levels = { ...board.steady, ...phase.levels, ...request.levels };
    const levels = new Map(supplies);
    const valueIn = (chip: Chip, expression: Expression): Bit =>
      evaluateThreeValued(expression, (name) => levels.get(chip.nets.get(name) ?? ""));
    let drives: Drive[] = [];
    for (let changed = true, round = 0; changed; round += 1) {
      if (round === 200) throw new RangeError(`phase ${phase.id} does not come to rest`);
      drives = chips.flatMap((chip) =>
        drivesOf(chip, phase, given, (expression) => valueIn(chip, expression)).filter(
          (drive) => !supplies.has(drive.net),
        ),
      );
      changed = false;
      for (const [net, level] of netLevels(signals, drives, given, (name) =>
        levels.get(resistorEnds.get(name) ?? ""),
      )) {
        changed ||= levels.get(net) !== level;
        levels.set(net, level);
      }
    }
    return {
      level: (net) => levels.get(net),
      drivers: (net) =>
        drives
          .filter((drive) => drive.net === net && drive.on !== false)
          .map(({ ref, pin, on }) => ({ ref, pin, certain: on === true })),
    };
  };
}

/** What one part puts on its nets. */
function drivesOf(
  { part, type, nets }: Chip,
  phase: BoardPhase,
  given: Levels,
  evaluate: (expression: Expression) => Bit,
): Drive[] {
  const drives: Drive[] = [];
  const put = (pin: string, value: Bit, on: Bit = true): void => {
    const net = nets.get(pin);
    if (net !== undefined) drives.push({ net, ref: part.ref, pin, value, on });
  };
  /** An output of a part that cannot tell by itself: as the board says, else moving. */
  const rest = (pin: string, on: Bit = true): void => {
    const net = nets.get(pin);
    const level = net === undefined ? undefined : given[net];
    if (level !== "released")
      put(pin, level === undefined || level === "pulsing" ? undefined : level === "high", on);
  };
  const { behaviour } = type;
  switch (behaviour.kind) {
    case "logic": {
      const pins = type.pins === "as-board" ? [] : type.pins;
      const collector = new Set(pins.filter((pin) => pin.kind === "oc").map((pin) => pin.name));
      for (const [pin, expression] of Object.entries(behaviour.outputs)) {
        const value = evaluate(expression);
        const enable = behaviour.enables?.[pin];
        if (collector.has(pin)) put(pin, false, value === undefined ? undefined : !value);
        else put(pin, value, enable === undefined ? true : evaluate(enable));
      }
      for (const register of behaviour.registers ?? []) {
        for (const output of register.outputs) {
          for (const pin of [output.pin, output.inverted]) {
            if (pin === undefined) continue;
            const enable = behaviour.enables?.[pin];
            rest(pin, enable === undefined ? true : evaluate(enable));
          }
        }
      }
      break;
    }
    case "memory":
      for (const { out } of behaviour.data) put(out, undefined, evaluate(behaviour.read));
      break;
    case "peripheral":
      for (const pin of behaviour.data) put(pin, undefined, evaluate(behaviour.read));
      for (const pin of behaviour.outputs) rest(pin);
      break;
    case "processor": {
      const levels = behaviour.cycles[phase.cycle === "none" ? "idle" : phase.cycle] ?? {};
      for (const [pin, level] of Object.entries(levels)) put(pin, level === "high");
      for (const [i, pin] of behaviour.address.entries()) {
        const digit = phase.address?.at(-1 - i);
        put(pin, digit === "0" ? false : digit === "1" ? true : undefined);
      }
      for (const pin of behaviour.data) put(pin, undefined, writeCycles.includes(phase.cycle));
      for (const pin of behaviour.clockOutputs ?? []) rest(pin);
      break;
    }
    case "follows":
      for (const pin of Object.keys(behaviour.outputs)) rest(pin);
      break;
    case "oscillator":
      rest(behaviour.output);
      break;
    default:
  }
  return drives;
}

/** Levels of the nets: by their drivers, else as the board says, else through a resistor. */
function netLevels(
  nets: ReadonlySet<string>,
  drives: readonly Drive[],
  given: Levels,
  throughResistor: (net: string) => Bit,
): Map<string, Bit> {
  const next = new Map<string, Bit>();
  for (const { net, value, on } of drives) {
    if (on === false) continue;
    const seen = next.has(net) ? next.get(net) : value;
    next.set(net, on === true && seen === value ? value : undefined);
  }
  for (const net of nets) {
    if (next.has(net)) continue;
    const level = given[net];
    if (level === "low" || level === "high") next.set(net, level === "high");
    else next.set(net, level === "pulsing" ? undefined : throughResistor(net));
  }
  return next;
}

/** The net at the far end of the first resistor on a net; of a network, the common end. */
function farEndOfResistor(board: Board, net: string): string | undefined {
  for (const part of board.parts) {
    if (part.type === "resistor" && part.pins["2"] === net) return part.pins["1"];
    if (part.type === "resistor" && part.pins["1"] === net) return part.pins["2"];
    if (part.type === "resistor-network" && part.pins["1"] !== net && Object.values(part.pins).includes(net))
      return part.pins["1"];
  }
  return undefined;
}

/** Value of an expression whose inputs may be unknown: definite wherever the unknown ones make no difference. */
export function evaluateThreeValued(expression: Expression, levelOf: (pin: string) => Bit): Bit {
  if (typeof expression === "boolean") return expression;
  if (typeof expression === "string") return levelOf(expression);
  const value = (operand: Expression): Bit => evaluateThreeValued(operand, levelOf);
  switch (expression[0]) {
    case "not": {
      const inner = value(expression[1]);
      return inner === undefined ? undefined : !inner;
    }
    case "and": {
      const all = expression.slice(1).map((operand) => value(operand));
      if (all.includes(false)) return false;
      return all.includes(undefined) ? undefined : true;
    }
    case "or": {
      const all = expression.slice(1).map((operand) => value(operand));
      if (all.includes(true)) return true;
      return all.includes(undefined) ? undefined : false;
    }
    case "xor": {
      const all = expression.slice(1).map((operand) => value(operand));
      return all.includes(undefined) ? undefined : all.filter((bit) => bit === true).length % 2 === 1;
    }
    case "mux": {
      const select = value(expression[1]);
      const low = value(expression[2]);
      const high = value(expression[3]);
      if (select === undefined) return low === high ? low : undefined;
      return select ? high : low;
    }
  }
}
