import type { Expression } from "../../board/expression.js";
import type { CircuitPart, Wiring } from "./circuit.js";
import {
  type Gate,
  isBinary,
  isCarry,
  isRipple,
  netAt,
  netsOf,
  type Register,
  takePart,
} from "./clocked-parts.js";

/** Longest period looked for, in clocks; a picture of 64 by 312 takes 19,968. */
const longestPeriod = 1 << 17;

/** How often each net rises while a clock's registers go once through all their states. */
export interface CycleCounts {
  /** Length of that period in clocks. */
  readonly period: number;
  /** Rises in a period by net. */
  readonly rises: ReadonlyMap<number, number>;
}

type Read = () => boolean;

/**
 * Runs the counters and flip-flops on one clock, and the gates between them, from clock to clock until they repeat.
 * Takes part what has all its inputs among these and nets that never move. A counter that has a load input is
 * cleared at its clock, one without at once.
 * @param constant level of nets that never move, 0 or 1; -1 for all others
 * @returns undefined if nothing takes part, or nothing repeats within 131,072 clocks
 */
export function simulateClock(
  wiring: Wiring,
  clockNet: number,
  constant: Int8Array,
  gates: readonly Gate[],
  registers: readonly Register[],
): CycleCounts | undefined {
  const usable = registers.filter((register) => {
    const ripples = isRipple(register) && register.clockNet >= 0;
    return isBinary(register) && (register.clockNet === clockNet || ripples);
  });
  const taking = takePart(wiring, clockNet, constant, gates, usable);
  if (!taking.registers.some((register) => register.clockNet === clockNet)) return undefined;
  return new Simulation(wiring, clockNet, constant, taking.gates, taking.registers).run();
}

/** A register with its nets and functions looked up. */
interface Stage {
  readonly clockNet: number;
  readonly counts: boolean;
  readonly clear: Read;
  readonly preset: Read;
  readonly load: Read;
  readonly run: Read;
  readonly bits: readonly StageBit[];
  /** Value with all bits set. */
  readonly full: number;
  /** What is stored, bit by weight. */
  value: number;
  /** What it will store at the clock. */
  next: number;
  /** Level of the clock when last looked at. */
  lastClock: number;
}

interface SimulatedGate {
  readonly net: number;
  readonly inputs: readonly number[];
  readonly value: Read;
}

interface StageBit {
  readonly net: number;
  readonly inverted: boolean;
  readonly data: Read;
  readonly weight: number;
}

class Simulation {
  private readonly wiring: Wiring;
  private readonly level: Uint8Array;
  private readonly stages: readonly Stage[];
  /** Stages on the clock itself, and those that clock each other. */
  private readonly clocked: readonly Stage[];
  private readonly rippling: readonly Stage[];
  /** Stages that are cleared at once. */
  private readonly clearable: readonly Stage[];
  /** From inputs to outputs. */
  private readonly gates: readonly SimulatedGate[];
  /** Nets whose rises are counted, how often each rose, and the level of every net before. */
  private readonly counted: readonly number[];
  private readonly rises: Int32Array;
  private readonly before: Uint8Array;

  constructor(
    wiring: Wiring,
    clockNet: number,
    constant: Int8Array,
    gates: readonly Gate[],
    registers: readonly Register[],
  ) {
    this.wiring = wiring;
    this.level = Uint8Array.from(constant, (level) => (level === 1 ? 1 : 0));
    this.stages = registers.map((register) => this.stageOf(register));
    const carries = registers.flatMap((register, i): SimulatedGate[] => {
      const stage = this.stages[i];
      const value: Read = () => stage !== undefined && stage.value === stage.full && stage.run();
      const inputs = netsOf(wiring, register.part, register.behaviour.run);
      return register.outputs
        .filter((output) => isCarry(register, output))
        .map(({ net }) => ({ net, inputs, value }));
    });
    const plain = gates.map(({ net, inputs, part, expression }): SimulatedGate => {
      return { net, inputs, value: this.read(part, expression) };
    });
    this.gates = inOrder([...carries, ...plain].filter(({ net }) => net >= 0));
    for (const stage of this.stages) this.put(stage, 0);
    const ripple = registers.map(isRipple);
    this.clocked = this.stages.filter((stage) => stage.clockNet === clockNet);
    this.clearable = this.stages.filter((_, i) => ripple[i] === true);
    this.rippling = this.stages.filter((stage) => stage.clockNet !== clockNet);
    const nets = [...this.stages.flatMap(({ bits }) => bits), ...this.gates].map(({ net }) => net);
    this.counted = [...new Set(nets)].filter((net) => net >= 0);
    this.rises = new Int32Array(this.counted.length);
    this.before = new Uint8Array(this.level.length);
  }

  private stageOf(register: Register): Stage {
    const { part, behaviour, outputs, clockNet } = register;
    const when = (expression: Expression | undefined, absent: boolean): Read =>
      expression === undefined ? () => absent : this.read(part, expression);
    const counts = behaviour.kind === "counter";
    const bits = outputs
      .filter((output) => !isCarry(register, output))
      .map(({ net, inverted, data, divides = 2 }, i) => ({
        net,
        inverted,
        data: when(data, false),
        weight: counts ? divides / 2 : 1 << i,
      }));
    return {
      clockNet,
      counts,
      clear: when(behaviour.clear, false),
      preset: when(behaviour.preset, false),
      load: when(behaviour.load, false),
      run: when(behaviour.run, true),
      bits,
      full: bits.reduce((sum, bit) => sum | bit.weight, 0),
      value: 0,
      next: 0,
      lastClock: 0,
    };
  }

  private read(part: CircuitPart, expression: Expression): Read {
    const { level } = this;
    if (typeof expression === "boolean") return () => expression;
    if (typeof expression === "string") {
      const net = netAt(this.wiring, part, expression);
      // An open TTL input acts as high.
      return net < 0 ? () => true : () => level[net] === 1;
    }
    const [operator, ...rest] = expression;
    const operands = rest.map((operand) => this.read(part, operand));
    const [a, b, c] = operands;
    if (operator === "not" && a !== undefined) return () => !a();
    if (operator === "mux" && a !== undefined && b !== undefined && c !== undefined)
      return () => (a() ? c() : b());
    if (operator === "and" && operands.length === 2 && a !== undefined && b !== undefined)
      return () => a() && b();
    if (operator === "and") return () => operands.every((operand) => operand());
    if (operator === "or") return () => operands.some((operand) => operand());
    return () => operands.reduce((odd, operand) => odd !== operand(), false);
  }

  run(): CycleCounts | undefined {
    this.settleGates();
    const seen = new Map<number | string, number>();
    this.startCounting();
    for (let cycle = 0; cycle < longestPeriod; cycle += 1) {
      const state = this.state();
      const before = seen.get(state);
      if (before !== undefined) {
        const period = cycle - before;
        // Where the states do not lead back to the first, the way into the circle does not count.
        if (before > 0) {
          this.startCounting();
          for (let again = 0; again < period; again += 1) this.step();
        }
        return { period, rises: new Map(this.counted.map((net, i) => [net, this.rises[i] as number])) };
      }
      seen.set(state, cycle);
      this.step();
    }
    return undefined;
  }

  /** All that is stored: as a number where it fits into one. */
  private state(): number | string {
    let all = 0;
    let states = 1;
    for (const { value, full } of this.stages) {
      all = all * (full + 1) + value;
      states *= full + 1;
    }
    if (states <= Number.MAX_SAFE_INTEGER) return all;
    return this.stages.map(({ value }) => value).join(",");
  }

  private startCounting(): void {
    this.rises.fill(0);
    this.before.set(this.level);
  }

  private step(): void {
    this.advance(this.clocked);
    // Ripple stages follow the falling edges of the stages before them.
    for (
      let again = this.rippling.length > 0, rounds = 0;
      again && rounds < this.stages.length;
      rounds += 1
    ) {
      const falling = this.rippling.filter((stage) => {
        const now = this.level[stage.clockNet] as number;
        const falls = stage.lastClock === 1 && now === 0;
        stage.lastClock = now;
        return falls;
      });
      again = falling.length > 0;
      if (again) this.advance(falling);
    }
    for (let i = 0; i < this.counted.length; i += 1) {
      const net = this.counted[i] as number;
      const now = this.level[net] as number;
      if (now === 1 && this.before[net] === 0) this.rises[i] = (this.rises[i] as number) + 1;
      this.before[net] = now;
    }
  }

  /** Clocks the stages together, then lets gates and immediate clears follow. */
  private advance(stages: readonly Stage[]): void {
    for (const stage of stages) stage.next = this.nextOf(stage);
    for (const stage of stages) this.put(stage, stage.next);
    this.settleGates();
    for (const stage of this.clearable) {
      if (stage.value === 0 || !stage.clear()) continue;
      this.put(stage, 0);
      this.settleGates();
    }
  }

  private nextOf(stage: Stage): number {
    const { bits, full, value } = stage;
    if (stage.clear()) return 0;
    if (stage.preset()) return full;
    if (stage.counts ? stage.load() : stage.run()) {
      return bits.reduce((sum, bit) => (bit.data() ? sum | bit.weight : sum), 0);
    }
    return stage.counts && stage.run() ? (value + 1) & full : value;
  }

  private put(stage: Stage, value: number): void {
    stage.value = value;
    for (const { net, inverted, weight } of stage.bits) {
      if (net >= 0) this.level[net] = ((value & weight) !== 0) === inverted ? 0 : 1;
    }
  }

  private settleGates(): void {
    for (const { net, value } of this.gates) this.level[net] = value() ? 1 : 0;
  }
}

/** Gates and carries so that each comes after those it depends on; gates that run in a circle are left out. */
function inOrder(gates: readonly SimulatedGate[]): SimulatedGate[] {
  const made = new Set(gates.map(({ net }) => net));
  const placed = new Set<number>();
  const order: SimulatedGate[] = [];
  for (let before = -1; before < order.length; ) {
    before = order.length;
    for (const gate of gates) {
      if (placed.has(gate.net) || gate.inputs.some((net) => made.has(net) && !placed.has(net))) continue;
      placed.add(gate.net);
      order.push(gate);
    }
  }
  return order;
}
