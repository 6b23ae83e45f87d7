import type { Engine } from "../settle/engine.js";
import { moves, partTimeFlag } from "../settle/value.js";

/** What stands on the way of a signal in a circuit: which nets a net depends on, and whether a fault cuts them off. */
export class Reach {
  private readonly engine: Engine;
  private readonly elementOfDriver: Int32Array;

  constructor(engine: Engine) {
    this.engine = engine;
    this.elementOfDriver = new Int32Array(engine.drivers.length).fill(-1);
    for (const [e, element] of engine.elements.entries()) {
      for (const driver of element.drivers) this.elementOfDriver[driver] = e;
    }
  }

  /** Nets whose changes can still reach one of the given nets past every stuck output and cut pin; these included. */
  into(nets: readonly number[]): Set<number> {
    const { engine } = this;
    const reached = new Set(nets);
    for (const net of reached) {
      if ((engine.netForce[net] as number) >= 0) continue;
      for (const driver of engine.driversOfNet[net] ?? []) {
        if (isCut(engine.driverForce[driver] as number)) continue;
        const element = engine.elements[this.elementOfDriver[driver] as number];
        if (element === undefined || engine.partFaults[element.part]?.silent === true) continue;
        for (const pin of element.inputs) {
          const from = engine.wiring.pins[pin]?.net ?? -1;
          if (from >= 0 && (engine.pinForce[pin] as number) < 0) reached.add(from);
        }
        for (const from of element.follows ?? []) reached.add(from);
      }
    }
    return reached;
  }
}

/** A forced output passes nothing on, unless it only adds wrongly to what others mix with it. */
function isCut(forced: number): boolean {
  return forced >= 0 && !(forced & partTimeFlag && moves(forced));
}
