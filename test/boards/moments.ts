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
  readonly levels?: Readonly<Record<string, BoardLevel>>;
}

/** A board at one moment. */
export interface Moment {
  /** Level of a net. */
  level(net: string): Bit;
  /** Everything that drives the net, pull resistors apart. */
  drivers(net: string): readonly ActiveDriver[];
  /** Value of an expression over the pins of a part. */
  evaluate(ref: string, expression: Expression): Bit;
}

interface Drive {
  readonly net: string;
  readonly ref: string;
  readonly pin: string;
  readonly value: Bit;
  /** Whether it drives at all. */
  readonly on: Bit;
}

const writeCycles: readonly BoardPhase["cycle"][] = ["memory-write", "io-write"];

/**
 * Works out a moment by the truth functions of the part types, in three-valued logic: all nets start as unknown and
 * only what follows becomes definite. Deliberately plain and independent of the product's own settling.
 */
export function momentOf(board: Board, types: PartTypes, request: MomentRequest): Moment {
  const found = board.phases.find((phase) => phase.id === request.phase);
  if (found === undefined) throw new RangeError(`no phase ${request.phase}`);
  const phase = request.address === undefined ? found : { ...found, address: request.address };
  const given: Readonly<Record<string, BoardLevel>> = { ...board.steady, ...phase.levels, ...request.levels };
  const levels = new Map<string, Bit>([[board.ground, false]]);
  for (const rail of board.rails) levels.set(rail.net, true);
  const fixed = new Set(levels.keys());
  const netOf = (part: BoardPart, type: PartType, name: string): string | undefined => {
    if (type.pins === "as-board") return part.pins[name];
    const number = type.pins.find((pin) => pin.name === name)?.number;
    return number === undefined ? undefined : part.pins[number];
  };
  const valueIn = (part: BoardPart, type: PartType, expression: Expression): Bit =>
    evaluateThreeValued(expression, (name) => {
      const net = netOf(part, type, name);
      return net === undefined ? undefined : levels.get(net);
    });
  const chips = board.parts.map((part) => {
    const type = types.get(part.type);
    if (type === undefined) throw new RangeError(`${part.ref} is of the unknown type ${part.type}`);
    return { part, type };
  });
  const allDrives = (): Drive[] =>
    chips.flatMap(({ part, type }) => {
      const evaluate = (expression: Expression): Bit => valueIn(part, type, expression);
      return drivesOf(part, type, phase, given, evaluate, (name) => netOf(part, type, name)).filter(
        (drive) => !fixed.has(drive.net),
      );
    });

  let drives: Drive[] = [];
  for (let round = 0; ; round += 1) {
    if (round === 200) throw new RangeError(`phase ${phase.id} does not come to rest`);
    drives = allDrives();
    const next = netLevels(board, drives, given, levels, fixed);
    const changed = [...next].some(([net, level]) => levels.get(net) !== level);
    for (const [net, level] of next) levels.set(net, level);
    if (!changed) break;
  }
  return {
    level: (net) => levels.get(net),
    drivers: (net) =>
      drives
        .filter((drive) => drive.net === net && drive.on !== false)
        .map(({ ref, pin, on }) => ({ ref, pin, certain: on === true })),
    evaluate: (ref, expression) => {
      const chip = chips.find(({ part }) => part.ref === ref);
      if (chip === undefined) throw new RangeError(`no part ${ref}`);
      return valueIn(chip.part, chip.type, expression);
    },
  };
}

/** What one part puts on its nets. */
function drivesOf(
  part: BoardPart,
  type: PartType,
  phase: BoardPhase,
  given: Readonly<Record<string, BoardLevel>>,
  evaluate: (expression: Expression) => Bit,
  netOf: (pin: string) => string | undefined,
): Drive[] {
  const drives: Drive[] = [];
  const put = (pin: string, value: Bit, on: Bit = true): void => {
    const net = netOf(pin);
    if (net !== undefined) drives.push({ net, ref: part.ref, pin, value, on });
  };
  /** An output of a part that cannot tell by itself: as the board says, else moving. */
  const rest = (pin: string, on: Bit = true): void => {
    const net = netOf(pin);
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

/** Levels of all nets that are not rails: by their drivers, else through a resistor, else as the board says. */
function netLevels(
  board: Board,
  drives: readonly Drive[],
  given: Readonly<Record<string, BoardLevel>>,
  levels: ReadonlyMap<string, Bit>,
  fixed: ReadonlySet<string>,
): Map<string, Bit> {
  const driven = new Map<string, Drive[]>();
  for (const drive of drives) {
    if (drive.on !== false) driven.set(drive.net, [...(driven.get(drive.net) ?? []), drive]);
  }
  const next = new Map<string, Bit>();
  for (const part of board.parts) {
    for (const net of Object.values(part.pins)) {
      if (fixed.has(net) || next.has(net)) continue;
      const own = driven.get(net) ?? [];
      const [first] = own;
      if (first !== undefined) {
        const certain = own.every((drive) => drive.on === true && drive.value === first.value);
        next.set(net, certain ? first.value : undefined);
        continue;
      }
      const level = given[net];
      if (level === "low" || level === "high") next.set(net, level === "high");
      else if (level !== "pulsing") next.set(net, throughResistor(board, net, levels));
      else next.set(net, undefined);
    }
  }
  return next;
}

/** Level that the first resistor on the net, or its place in a network, brings from its other end. */
function throughResistor(board: Board, net: string, levels: ReadonlyMap<string, Bit>): Bit {
  for (const part of board.parts) {
    if (part.type !== "resistor" && part.type !== "resistor-network") continue;
    if (!Object.values(part.pins).includes(net)) continue;
    const far = part.pins["1"] === net ? part.pins["2"] : part.pins["1"];
    if (far !== undefined && (part.type === "resistor" || part.pins["1"] !== net)) return levels.get(far);
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
