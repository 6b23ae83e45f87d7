import type { Board } from "../../../board/board.js";
import { evaluateExpression, expressionPins } from "../../../board/expression.js";
import { type Circuit, indexCircuit, type TypeSource } from "../../map/circuit.js";

/** Kinds of bus cycle that put an address on the lines. */
export type BusCycle = "fetch" | "memory-read" | "memory-write" | "io-read" | "io-write" | "refresh";

/** True if a select line is active while this address is on the lines in a cycle of this kind. */
export type SelectLine = (cycle: BusCycle, address: number) => boolean;

/** More gates than any decoder has one behind the other. */
const maximumDepth = 20;

/**
 * Works out when the line at a pin is active, from the gates between it and the processor: its address lines, and its
 * control outputs in each kind of cycle, as the part type gives them. A net that comes from elsewhere has the level the
 * board gives it in phases of such a cycle. Throws `RangeError` if the pin is on no net, or if the level of a net on the
 * way is not known; the latter when the line is asked for.
 */
export function selectLine(
  board: Board,
  types: TypeSource,
  { part, pin, active }: { readonly part: string; readonly pin: string; readonly active: "low" | "high" },
): SelectLine {
  const circuit = indexCircuit(board, types);
  const net = board.parts.find(({ ref }) => ref === part)?.pins[pin];
  if (net === undefined) throw new RangeError(`${part} pin ${pin} is on no net`);
  // By cycle: the address lines that reach the line, and what it is for each of their levels.
  const cycles = new Map<BusCycle, { readonly mask: number; readonly known: Map<number, boolean> }>();
  return (cycle, address) => {
    const before = cycles.get(cycle);
    const found = before?.known.get(address & before.mask);
    if (found !== undefined) return found;
    const moment = new Moment(circuit, cycle, address);
    const isActive = moment.levelOf(net, maximumDepth) === (active === "high");
    const { known, mask } = before ?? { mask: moment.usedLines, known: new Map<number, boolean>() };
    known.set(address & mask, isActive);
    cycles.set(cycle, { mask, known });
    return isActive;
  };
}

/** One bus cycle: the levels of nets in it. */
class Moment {
  readonly #circuit: Circuit;
  readonly #cycle: BusCycle;
  readonly #known = new Map<string, boolean>();
  /** Numbers of the address lines by their nets. */
  readonly #lines = new Map<string, number>();
  /** Address lines that were asked for, as a mask. All inputs of a gate are, so that it does not depend on levels. */
  usedLines = 0;

  constructor(circuit: Circuit, cycle: BusCycle, address: number) {
    this.#circuit = circuit;
    this.#cycle = cycle;
    const { board } = circuit;
    const ref = board.processor;
    const behaviour = ref === undefined ? undefined : circuit.part(ref)?.type.behaviour;
    if (ref === undefined || behaviour?.kind !== "processor") return;
    const put = (pin: string, level: boolean): void => {
      const net = circuit.netOf(ref, pin);
      if (net !== undefined) this.#known.set(net, level);
    };
    for (const [bit, pin] of behaviour.address.entries()) {
      put(pin, ((address >> bit) & 1) === 1);
      const net = circuit.netOf(ref, pin);
      if (net !== undefined) this.#lines.set(net, bit);
    }
    for (const [pin, level] of Object.entries(behaviour.cycles[cycle] ?? {})) put(pin, level === "high");
  }

  levelOf(net: string, depth: number): boolean {
    const line = this.#lines.get(net);
    if (line !== undefined) this.usedLines |= 1 << line;
    const known = this.#known.get(net);
    if (known !== undefined) return known;
    const level = this.#worked(net, depth);
    this.#known.set(net, level);
    return level;
  }

  #worked(net: string, depth: number): boolean {
    const fixed = this.#circuit.fixedLevel(net);
    if (fixed !== undefined) return fixed;
    const [driver] = this.#circuit.driversOf(net);
    if (driver === undefined || depth === 0) return this.#given(net);
    const pins = expressionPins(driver.expression);
    const levels = new Map(
      pins.map((pin) => {
        const input = this.#circuit.netOf(driver.part, pin);
        return [pin, input === undefined ? true : this.levelOf(input, depth - 1)];
      }),
    );
    return evaluateExpression(driver.expression, (pin) => levels.get(pin) ?? true);
  }

  /** Level that the board's phases of this kind of cycle agree on. */
  #given(net: string): boolean {
    const { phases, steady } = this.#circuit.board;
    const levels = new Set(
      phases
        .filter(({ cycle }) => cycle === this.#cycle)
        .map((phase) => phase.levels?.[net] ?? steady[net])
        .filter((level) => level === "high" || level === "low"),
    );
    if (levels.size !== 1) throw new RangeError(`the level of ${net} is not known in a ${this.#cycle}`);
    return levels.has("high");
  }
}
