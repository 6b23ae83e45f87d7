import type { Engine } from "./engine.js";
import { levelAt, planeShift } from "./planes.js";
import { Level, wrongFlag } from "./value.js";

/** The gates and links between what makes a reset and the processor's reset input. */
export interface ResetPath {
  /** Nets that reset the healthy machine when they take the other level. */
  readonly roots: readonly number[];
  readonly nets: readonly number[];
  readonly drivers: readonly number[];
  readonly pins: readonly number[];
}

interface ResetInput {
  readonly pin: number;
  readonly active: "low" | "high";
}

/**
 * Finds the way of a reset on a healthy board, by walking back from the processor's input through all that does not
 * store. Undefined if nothing at its beginning resets the machine: then nothing is known of how it is reset.
 */
export function findResetPath(engine: Engine, input: ResetInput): ResetPath | undefined {
  const end = engine.wiring.pins[input.pin]?.net ?? -1;
  if (end < 0) return undefined;
  const nets = new Set([end]);
  const drivers = new Set<number>();
  const pins = new Set([input.pin]);
  const beginnings: number[] = [];
  for (const net of nets) {
    const elements = engine.elements.filter((element) =>
      element.drivers.some((driver) => engine.drivers[driver]?.net === net),
    );
    const passing = elements.filter((element) => {
      const kind = engine.wiring.parts[element.part]?.type.behaviour.kind;
      return element.stores !== true && (kind === "logic" || element.follows !== undefined);
    });
    if (passing.length === 0) beginnings.push(net);
    for (const element of passing) {
      for (const driver of element.drivers) if (engine.drivers[driver]?.net === net) drivers.add(driver);
      for (const pin of element.inputs) {
        pins.add(pin);
        const from = engine.wiring.pins[pin]?.net ?? -1;
        if (from >= 0 && engine.wiring.netDuty[from] === 0) nets.add(from);
      }
      for (const from of element.follows ?? []) nets.add(from);
    }
  }
  const roots = beginnings.filter((net) => resetsFrom(engine, net, input));
  return roots.length === 0 ? undefined : { roots, nets: [...nets], drivers: [...drivers], pins: [...pins] };
}

/**
 * True if a fault keeps every reset from reaching the processor: it then starts wherever it happens to be. Settles
 * the board with each root at its other level, if anything on the way is disturbed at all, and takes that back.
 */
export function resetNeverComes(engine: Engine, path: ResetPath, input: ResetInput): boolean {
  const disturbed =
    path.pins.some((pin) => (engine.pinForce[pin] as number) >= 0) ||
    path.drivers.some((driver) => (engine.driverForce[driver] as number) >= 0) ||
    path.nets.some((net) => (engine.netForce[net] as number) >= 0 || (engine.bridged[net] as number) >= 0);
  return disturbed && !path.roots.some((root) => resetsFrom(engine, root, input));
}

/** Whether the processor's reset input becomes active for certain when a net takes its other level. */
function resetsFrom(engine: Engine, root: number, input: ResetInput): boolean {
  const level = levelAt(engine.healthy, root << planeShift, 0);
  if (level !== Level.low && level !== Level.high) return false;
  const partner = engine.bridged[root] as number;
  const tiedToSupply = partner >= 0 && engine.wiring.netDuty[partner] !== 0;
  if (tiedToSupply || (engine.netForce[root] as number) >= 0) return false;
  const mark = engine.mark();
  engine.netForce[root] = (level === Level.low ? Level.high : Level.low) | wrongFlag;
  engine.refreshNet(root);
  engine.settle();
  engine.pins.copyTo(seen, input.pin);
  const active = input.active === "low" ? 0 : 1;
  const resets = (seen[active] as number) === engine.allPhases && (seen[1 - active] as number) === 0;
  engine.netForce[root] = -1;
  engine.undo(mark);
  return resets;
}

const seen = new Int32Array(1 << planeShift);
