import type { Board, BoardPart } from "../board.js";
import type { Expression } from "../expression.js";
import type { PartType, PartTypePin } from "../part-type.js";
import { passiveLinks } from "../passive-links.js";

/** Definite level or neither: what is known of a net from logic alone. */
export type Ternary = 0 | 1 | undefined;

/** A part with its type, as the level finder needs it. */
export interface TypedPart {
  readonly part: BoardPart;
  readonly type: PartType;
}

/** One output of combinational logic. */
interface GateOutput {
  readonly typed: TypedPart;
  readonly expression: Expression;
  readonly enable: Expression | undefined;
  /** An open collector only pulls low; high leaves the net to the others. */
  readonly openCollector: boolean;
}

interface NetFacts {
  readonly gates: GateOutput[];
  /** Nets joined by closed contacts and series resistors. */
  readonly joined: string[];
  pull: Ternary;
  /** Something may drive the net whose level logic alone does not tell. */
  hasOtherDriver: boolean;
  hasConnector: boolean;
}

/** Levels fixed or tried by net. */
export type Levels = ReadonlyMap<string, 0 | 1>;

// Deeper logic than this is left undecided; it also bounds the recursion.
const maximumDepth = 120;
const ttl: ReadonlySet<string> = new Set(["ttl", "ls-ttl", "s-ttl"]);

/**
 * Finds levels of nets from those of others through the true functions of gates, closed contacts and pull-ups,
 * with three values: low, high, not known. Nets whose level must be given by somebody (registers, connectors,
 * programmable logic, processors) are reported as `open` when they are met.
 */
export class NetLevels {
  private readonly facts = new Map<string, NetFacts>();
  private readonly fixed = new Map<string, 0 | 1>();

  constructor(board: Pick<Board, "ground" | "rails">, parts: readonly TypedPart[]) {
    this.fixed.set(board.ground, 0);
    for (const rail of board.rails) this.fixed.set(rail.net, rail.nominalVolt > 0 ? 1 : 0);
    for (const typed of parts) this.addPart(typed);
  }

  /** Level of an expression over the pins of a part; nets without a driver that it met are added to `open`. */
  evaluate(typed: TypedPart, expression: Expression, levels: Levels, open: Set<string>): Ternary {
    return new Evaluation(this.facts, this.fixed, levels, open).expression(typed, expression, 0);
  }

  /** Level of a net; open nets met on the way are added to `open`. */
  levelOf(net: string, levels: Levels, open: Set<string>): Ternary {
    return new Evaluation(this.facts, this.fixed, levels, open).net(net, 0);
  }

  private of(net: string): NetFacts {
    let facts = this.facts.get(net);
    if (facts === undefined) {
      facts = { gates: [], joined: [], pull: undefined, hasOtherDriver: false, hasConnector: false };
      this.facts.set(net, facts);
    }
    return facts;
  }

  private addPart(typed: TypedPart): void {
    const { part, type } = typed;
    const { behaviour } = type;
    if (behaviour.kind === "plain") {
      this.addPlain(part, type, behaviour.as);
      return;
    }
    const combinational = behaviour.kind === "logic" ? behaviour.outputs : {};
    for (const pin of type.pins === "as-board" ? [] : type.pins) {
      const net = netOfPin(part, pin.number);
      if (net === undefined) continue;
      const expression = Object.hasOwn(combinational, pin.name) ? combinational[pin.name] : undefined;
      if (expression !== undefined) {
        const enables = behaviour.kind === "logic" ? (behaviour.enables ?? {}) : {};
        const enable = Object.hasOwn(enables, pin.name) ? enables[pin.name] : undefined;
        this.of(net).gates.push({ typed, expression, enable, openCollector: pin.kind === "oc" });
      } else if (isDriver(pin)) {
        this.of(net).hasOtherDriver = true;
      }
    }
  }

  private addPlain(part: BoardPart, type: PartType, as: string): void {
    for (const net of Object.values(part.pins)) {
      if (as === "connector") this.of(net).hasConnector = true;
      else if (as === "keyboard") this.of(net).hasOtherDriver = true;
    }
    for (const { from, to, through } of passiveLinks(part, type)) {
      if (through === "resistor" || through === "contact") this.join(from, to, through === "resistor");
    }
  }

  private join(a: string, b: string, isResistor: boolean): void {
    const levelA = this.fixed.get(a);
    const levelB = this.fixed.get(b);
    if (levelA !== undefined && levelB !== undefined) return;
    if (levelA === undefined && levelB === undefined) {
      this.of(a).joined.push(b);
      this.of(b).joined.push(a);
      return;
    }
    const target = this.of(levelA === undefined ? a : b);
    const level = levelA ?? levelB;
    if (isResistor) target.pull = level;
    else if (level !== undefined) this.fixed.set(levelA === undefined ? a : b, level);
  }
}

class Evaluation {
  private readonly facts: ReadonlyMap<string, NetFacts>;
  private readonly fixed: ReadonlyMap<string, 0 | 1>;
  private readonly levels: Levels;
  private readonly open: Set<string>;
  private readonly known = new Map<string, Ternary>();

  constructor(
    facts: ReadonlyMap<string, NetFacts>,
    fixed: ReadonlyMap<string, 0 | 1>,
    levels: Levels,
    open: Set<string>,
  ) {
    this.facts = facts;
    this.fixed = fixed;
    this.levels = levels;
    this.open = open;
  }

  net(name: string, depth: number): Ternary {
    const given = this.fixed.get(name) ?? this.levels.get(name);
    if (given !== undefined) return given;
    if (this.known.has(name)) return this.known.get(name);
    // A net that depends on itself stays unknown.
    this.known.set(name, undefined);
    const level = depth > maximumDepth ? undefined : this.derive(name, depth);
    this.known.set(name, level);
    return level;
  }

  private derive(name: string, depth: number): Ternary {
    const facts = this.facts.get(name);
    // A net that nothing drives is no open question but a flaw of the circuit.
    if (facts === undefined) return undefined;
    const levels = new Set<Ternary>();
    for (const gate of facts.gates) {
      const enabled = gate.enable === undefined ? 1 : this.expression(gate.typed, gate.enable, depth + 1);
      if (enabled === 0) continue;
      const level = enabled === 1 ? this.expression(gate.typed, gate.expression, depth + 1) : undefined;
      if (gate.openCollector && level === 0) return 0;
      if (!gate.openCollector || level === undefined) levels.add(level);
    }
    if (levels.size > 0) return levels.size === 1 ? [...levels][0] : undefined;
    if (facts.hasOtherDriver) {
      this.open.add(name);
      return undefined;
    }
    for (const other of facts.joined) {
      const level = this.net(other, depth + 1);
      if (level !== undefined) return level;
    }
    if (facts.pull !== undefined) return facts.pull;
    if (facts.hasConnector) this.open.add(name);
    return undefined;
  }

  expression(typed: TypedPart, expression: Expression, depth: number): Ternary {
    if (typeof expression === "boolean") return expression ? 1 : 0;
    if (depth > maximumDepth) return undefined;
    if (typeof expression === "string") return this.pin(typed, expression, depth + 1);
    const value = (operand: Expression): Ternary => this.expression(typed, operand, depth + 1);
    switch (expression[0]) {
      case "not":
        return invert(value(expression[1]));
      case "and":
        return conjunction(expression.slice(1).map((operand) => value(operand)));
      case "or":
        return invert(conjunction(expression.slice(1).map((operand) => invert(value(operand)))));
      case "xor":
        return expression.slice(1).reduce<Ternary>((parity, operand) => {
          const next = value(operand);
          if (parity === undefined || next === undefined) return undefined;
          return parity === next ? 0 : 1;
        }, 0);
      case "mux": {
        const select = value(expression[1]);
        if (select !== undefined) return value(select === 1 ? expression[3] : expression[2]);
        const low = value(expression[2]);
        return low === value(expression[3]) ? low : undefined;
      }
    }
  }

  private pin(typed: TypedPart, name: string, depth: number): Ternary {
    const number = pinNumber(typed.type, name);
    const net = number === undefined ? undefined : netOfPin(typed.part, number);
    // An open TTL input acts as high; an open MOS input is anything.
    if (net === undefined) return ttl.has(typed.type.technology) ? 1 : undefined;
    return this.net(net, depth);
  }
}

/** Number of the pin a type calls `name`; undefined if it has none. */
export function pinNumber(type: PartType, name: string): string | undefined {
  return type.pins === "as-board" ? name : type.pins.find((pin) => pin.name === name)?.number;
}

/** Net of a part's pin; undefined if it is open. */
export function netOfPin(part: BoardPart, number: string): string | undefined {
  return Object.hasOwn(part.pins, number) ? part.pins[number] : undefined;
}

function isDriver(pin: PartTypePin): boolean {
  return pin.kind === "out" || pin.kind === "tri" || pin.kind === "bidir" || pin.kind === "oc";
}

function invert(level: Ternary): Ternary {
  return level === undefined ? undefined : level === 1 ? 0 : 1;
}

function conjunction(levels: readonly Ternary[]): Ternary {
  if (levels.some((level) => level === 0)) return 0;
  return levels.every((level) => level === 1) ? 1 : undefined;
}
