import type { Change } from "../faults/change.js";
import { processorStates } from "../settle/engine.js";
import { machineObservables } from "../table/chain.js";
import type { FaultSpace } from "./space.js";

const running = processorStates.indexOf("running");

/**
 * What each effect touches: the nets it changes in any of its rows, the nets it works on without changing them, the
 * states of the machine it changes, and the elements that see any of it. Two effects whose footprints share nothing
 * cannot meet: each leaves everything the other depends on as it is on the healthy board.
 */
export class Footprints {
  private readonly space: FaultSpace;
  private readonly netCount: number;
  private readonly elementCount: number;
  private readonly known: (Uint32Array | undefined)[];
  /** Elements that read a net, by net. */
  private readonly readersOfNet: readonly (readonly number[])[];
  private readonly elementsOfPart: readonly (readonly number[])[];
  /** Elements whose output depends on how the processor fares. */
  private readonly followers: readonly number[];

  constructor(space: FaultSpace) {
    this.space = space;
    const { engine, wiring } = space.circuit;
    this.netCount = wiring.nets.length;
    this.elementCount = engine.elements.length;
    this.known = space.effects.map(() => undefined);
    const readers: Set<number>[] = wiring.nets.map(() => new Set<number>());
    const ofPart: number[][] = wiring.parts.map(() => []);
    const followers: number[] = [];
    for (const [e, element] of engine.elements.entries()) {
      const pins = [...element.inputs, ...element.supplies].map((pin) => wiring.pins[pin]?.net ?? -1);
      for (const net of [...pins, ...(element.follows ?? [])]) readers[net]?.add(e);
      ofPart[element.part]?.push(e);
      const kind = wiring.parts[element.part]?.type.behaviour.kind;
      if (kind === "processor" || kind === "memory" || kind === "peripheral") followers.push(e);
    }
    this.readersOfNet = readers.map((set) => [...set]);
    this.elementsOfPart = ofPart;
    this.followers = followers;
  }

  /** True if the two effects share nothing. */
  apart(first: number, second: number): boolean {
    const a = this.of(first);
    const b = this.of(second);
    for (let i = 0; i < a.length; i += 1) if (((a[i] as number) & (b[i] as number)) !== 0) return false;
    return true;
  }

  /** Bit set: nets, then machine observables, then elements. */
  private of(effect: number): Uint32Array {
    const known = this.known[effect];
    if (known !== undefined) return known;
    const bits = new Uint32Array(
      Math.ceil((this.netCount + machineObservables.length + this.elementCount) / 32),
    );
    const set = (at: number): void => {
      bits[at >> 5] = (bits[at >> 5] as number) | (1 << (at & 31));
    };
    const setElements = (list: readonly number[]): void => {
      for (const e of list) set(this.netCount + machineObservables.length + e);
    };
    const setNet = (net: number): void => {
      if (net < 0) return;
      set(net);
      setElements(this.readersOfNet[net] ?? []);
    };
    this.addRows(effect, setNet, (observable) => set(this.netCount + observable), setElements);
    for (const change of this.space.effects[effect]?.changes ?? [])
      this.addChange(change, setNet, (observable) => set(this.netCount + observable), setElements);
    this.known[effect] = bits;
    return bits;
  }

  private addRows(
    effect: number,
    setNet: (net: number) => void,
    setObservable: (observable: number) => void,
    setElements: (list: readonly number[]) => void,
  ): void {
    const { table, health, views } = this.space;
    for (let row = table.firstRow[effect] as number; row < (table.firstRow[effect + 1] as number); row += 1) {
      const view = views[row] ?? health;
      for (let net = 0; net < this.netCount; net += 1)
        if (view.nets[view.netBase + net] !== health.nets[health.netBase + net]) setNet(net);
      for (const o of machineObservables.keys())
        if (view.machine[view.machineBase + o] !== health.machine[health.machineBase + o]) setObservable(o);
      if (table.state[row] !== running) setElements(this.followers);
    }
  }

  private addChange(
    change: Change,
    setNet: (net: number) => void,
    setObservable: (observable: number) => void,
    setElements: (list: readonly number[]) => void,
  ): void {
    const { engine, wiring } = this.space.circuit;
    switch (change.kind) {
      case "driver":
        setNet(engine.drivers[change.driver]?.net ?? -1);
        break;
      case "pin":
        setElements(this.elementsOfPart[wiring.pins[change.pin]?.part ?? -1] ?? []);
        break;
      case "net":
        setNet(change.net);
        break;
      case "bridge":
        setNet(change.first);
        setNet(change.second);
        break;
      case "pull":
        setNet(engine.pulls[change.pull]?.net ?? -1);
        break;
      case "part":
        setElements(this.elementsOfPart[change.part] ?? []);
        // The picture and the memory figure ask of every memory whether some of its cells are bad.
        if (change.fault.someCells === true)
          for (const [o, name] of machineObservables.entries())
            if (name === "picture" || name === "memory-figure") setObservable(o);
        break;
    }
  }
}
