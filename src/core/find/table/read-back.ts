import type { CircuitPart } from "../settle/circuit.js";
import type { Element, Engine } from "../settle/engine.js";
import { drivenPhases, planeShift } from "../settle/planes.js";

/** One way in which the processor reads a net. */
export interface ReadBack {
  /** Data pin of the processor. */
  readonly pin: number;
  /** Phases in which it does, as a bit set. */
  readonly phases: number;
  /** Input pins that a port reports on the same data bit at other times. */
  readonly beside: readonly number[];
}

const readCycles = new Set(["fetch", "memory-read", "io-read"]);

/** Finds how the processor reads nets of a healthy board: through buffers and ports, never through what stores. */
export class ReadBackFinder {
  private readonly engine: Engine;
  private readonly dataPinOfNet = new Map<number, number>();
  private readonly readPhases: number;
  private readonly readersOfNet = new Map<number, Element[]>();

  constructor(engine: Engine) {
    this.engine = engine;
    const { wiring } = engine;
    const processor = wiring.parts.find((part) => part.type.behaviour.kind === "processor");
    const behaviour = processor?.type.behaviour;
    const names = new Set(behaviour?.kind === "processor" ? behaviour.data : []);
    for (const pin of processor?.pins ?? []) {
      const found = wiring.pins[pin];
      if (found !== undefined && names.has(found.name)) this.dataPinOfNet.set(found.net, pin);
    }
    let phases = 0;
    for (const [k, phase] of wiring.board.phases.entries()) if (readCycles.has(phase.cycle)) phases |= 1 << k;
    this.readPhases = phases;
    for (const element of engine.elements) {
      for (const pin of new Set(element.inputs)) this.addReader(wiring.pins[pin]?.net ?? -1, element);
      for (const net of element.follows ?? []) this.addReader(net, element);
    }
  }

  private addReader(net: number, element: Element): void {
    const readers = this.readersOfNet.get(net);
    if (readers === undefined) this.readersOfNet.set(net, [element]);
    else if (!readers.includes(element)) readers.push(element);
  }

  /** Every way in which the processor reads a net; none if it does not. */
  find(net: number): ReadBack[] {
    const found = new Map<number, ReadBack>();
    const visited = new Map<number, number>();
    const visit = (at: number, phases: number, beside: readonly number[]): void => {
      const fresh = phases & ~(visited.get(at) ?? 0);
      if (fresh === 0) return;
      visited.set(at, (visited.get(at) ?? 0) | fresh);
      const pin = this.dataPinOfNet.get(at);
      if (pin !== undefined) {
        const before = found.get(pin)?.phases ?? 0;
        found.set(pin, { pin, phases: before | fresh, beside });
        return;
      }
      for (const element of this.readersOfNet.get(at) ?? []) {
        for (const step of this.stepsThrough(element, at)) {
          const driven = drivenPhases(this.engine.healthyDrive, step.driver << planeShift);
          visit(this.engine.drivers[step.driver]?.net ?? -1, fresh & driven, [...beside, ...step.beside]);
        }
      }
    };
    visit(net, this.readPhases, []);
    return [...found.values()];
  }

  private stepsThrough(element: Element, net: number): { driver: number; beside: readonly number[] }[] {
    const part = this.engine.wiring.parts[element.part];
    if (part?.type.behaviour.kind === "peripheral") return this.portSteps(part, element, net);
    const passes = part?.type.behaviour.kind === "logic" || element.follows !== undefined;
    if (element.stores === true || !passes) return [];
    return element.drivers.map((driver) => ({ driver, beside: [] }));
  }

  /** A port reports its pins eight to the byte: pin i of the type's inputs on data bit i modulo the width of the bus. */
  private portSteps(
    part: CircuitPart,
    element: Element,
    net: number,
  ): { driver: number; beside: number[] }[] {
    const behaviour = part.type.behaviour;
    if (behaviour.kind !== "peripheral") return [];
    const { wiring, drivers } = this.engine;
    const width = behaviour.data.length;
    const pinOf = (name: string): number => part.pins.find((pin) => wiring.pins[pin]?.name === name) ?? -1;
    const inputs = behaviour.inputs.map(pinOf);
    return inputs.flatMap((input, i) => {
      if (wiring.pins[input]?.net !== net || !element.inputs.includes(input)) return [];
      const dataPin = pinOf(behaviour.data[i % width] ?? "");
      const driver = element.drivers.find((d) => drivers[d]?.pin === dataPin);
      const beside = inputs.filter(
        (other, j) => j % width === i % width && j !== i && element.inputs.includes(other),
      );
      return driver === undefined ? [] : [{ driver, beside }];
    });
  }
}
