import { levelLook } from "../evidence/look.js";
import { ProbePoints } from "../plan/probe-points.js";
import type { PreparedBoard } from "../prepare.js";
import type { FaultSpace } from "../reason/space.js";
import type { CircuitPart } from "../settle/circuit.js";
import { readingStep } from "./policy.js";
import type { ReadingAsked } from "./step.js";
import { createWorld } from "./world.js";

// How far from the lowest drop somebody looks first: about two chips (own estimate).
const nearMillimetre = 30;

/** What somebody with a schematic and a logic probe knows of a board: where to touch, and what should show there. */
export class Schematic {
  readonly prepared: PreparedBoard;
  private readonly space: FaultSpace;
  private readonly points: ProbePoints;

  constructor(prepared: PreparedBoard) {
    this.prepared = prepared;
    this.space = createWorld(prepared).space;
    this.points = new ProbePoints(prepared.circuit.wiring);
  }

  /** Touching a line with the logic probe. */
  probe(line: string): ReadingAsked | undefined {
    const net = this.netOf(line);
    const point = net < 0 ? undefined : this.points.best(net);
    if (point === undefined || this.prepared.circuit.wiring.netDuty[net] !== 0) return undefined;
    const { costs } = this.prepared.data;
    return readingStep(costs, "logic-probe", `logic-probe:${line}`, point.label, "logic-probe", true);
  }

  /** What the probe mostly shows at a line of the healthy machine. */
  expected(line: string): string {
    const look = levelLook(this.space, "logic-probe", this.netOf(line), -1, false);
    const code = look.codeOf(this.space.health, []);
    const count = look.outcomes.length;
    const row = look.likelihood.subarray(code * count, (code + 1) * count);
    return look.outcomes[row.indexOf(Math.max(...row))] ?? "";
  }

  netOf(line: string): number {
    return this.prepared.circuit.wiring.netIndex.get(line) ?? -1;
  }

  /** Parts that drive a line. */
  driversOf(line: string): number[] {
    const { engine } = this.prepared.circuit;
    const own = engine.driversOfNet[this.netOf(line)] ?? [];
    return [...new Set(own.map((driver) => engine.drivers[driver]?.part ?? -1))].filter((part) => part >= 0);
  }

  /** All parts on a line. */
  partsOn(line: string): number[] {
    const { netPins, pins } = this.prepared.circuit.wiring;
    const own = netPins[this.netOf(line)] ?? [];
    return [...new Set(own.map((pin) => pins[pin]?.part ?? -1))].filter((part) => part >= 0);
  }

  /** Signal lines a part listens to; only for parts simple enough that wrong inputs explain a dead output. */
  inputsOf(part: number): string[] {
    const { parts, pins, nets, netDuty } = this.prepared.circuit.wiring;
    const found = parts[part];
    const kind = found?.type.behaviour.kind;
    if (found === undefined || kind === "processor" || kind === "memory" || kind === "peripheral") return [];
    const passive = found.pins.length <= 3;
    const lines = found.pins.flatMap((pin) => {
      const own = pins[pin];
      const listens = own?.kind === "in" || (passive && own?.kind === "passive");
      return own !== undefined && listens && own.net >= 0 && netDuty[own.net] === 0
        ? [nets[own.net] ?? ""]
        : [];
    });
    return [...new Set(lines)];
  }

  /** Supply rails that chips run on: those measured first. */
  chipRails(): string[] {
    const { parts, pins, nets } = this.prepared.circuit.wiring;
    const used = new Set<string>();
    for (const part of parts) {
      if (part.pins.length < 8) continue;
      for (const pin of part.pins) {
        const own = pins[pin];
        if (own?.kind === "power" && own.net >= 0) used.add(nets[own.net] ?? "");
      }
    }
    return this.prepared.board.rails
      .filter((rail) => rail.raw !== true && used.has(rail.net))
      .map((rail) => rail.net);
  }

  /** Measuring a rail. */
  rail(line: string): ReadingAsked {
    return readingStep(this.prepared.data.costs, "rail", `rail:${line}`, `rail:${line}`, "multimeter", true);
  }

  /** Resistance of a line to ground with the power off. */
  short(line: string): ReadingAsked {
    const { costs } = this.prepared.data;
    return readingStep(costs, "resistance", `short:${line}`, `net:${line}`, "multimeter", false);
  }

  /** A two-terminal part lifted at one leg and measured alone. */
  liftedPart(ref: string): ReadingAsked {
    const { costs } = this.prepared.data;
    return readingStep(costs, "lifted-part", `lifted-part:${ref}`, ref, "multimeter", false);
  }

  /** All parts felt for heat in turn. */
  heatSweep(): ReadingAsked {
    return readingStep(this.prepared.data.costs, "heat-sweep", "heat-sweep", "board", "finger", true);
  }

  /** The drop along a shorted rail followed to the part where it is lowest. */
  railDrop(line: string): ReadingAsked {
    const { costs } = this.prepared.data;
    return readingStep(costs, "rail-drop", `rail-drop:${line}`, `rail:${line}`, "multimeter", true);
  }

  /** True for a part that lies where the drop along a rail was lowest: at the named part or a short way from it. */
  isNear({ part }: CircuitPart, lowest: string): boolean {
    const named = this.prepared.board.parts.find(({ ref }) => ref === lowest);
    if (named === undefined) return false;
    const { xMillimetre: x, yMillimetre: y } = named;
    return Math.hypot(part.xMillimetre - x, part.yMillimetre - y) <= nearMillimetre;
  }

  /** A question about the machine as a whole. */
  ask(observable: string): ReadingAsked {
    return readingStep(
      this.prepared.data.costs,
      observable === "tape" ? "tape-try" : "symptom",
      `symptom:${observable}`,
      observable,
      "none",
      true,
    );
  }
}
