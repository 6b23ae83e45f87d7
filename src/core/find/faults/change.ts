import type { PartFault } from "../settle/condition.js";
import type { Engine } from "../settle/engine.js";
import { Level, wrongFlag } from "../settle/value.js";

/** One elementary change a fault makes to the circuit. Indices are those of the circuit's tables. */
export type Change =
  /** An output puts out `value` whatever it should. */
  | { readonly kind: "driver"; readonly driver: number; readonly value: number }
  /** A pin is cut off from its net and reads `value`. */
  | { readonly kind: "pin"; readonly pin: number; readonly value: number }
  /** A net is held at `value` by something stronger than its drivers. */
  | { readonly kind: "net"; readonly net: number; readonly value: number }
  /** Two nets touch. */
  | { readonly kind: "bridge"; readonly first: number; readonly second: number }
  /** A resistor no longer pulls. */
  | { readonly kind: "pull"; readonly pull: number }
  /** A part misbehaves inside. */
  | { readonly kind: "part"; readonly part: number; readonly fault: PartFault };

export const cutOff = Level.floating | wrongFlag;

/** Text that is equal for equal sets of changes, whatever their order. */
export function changesKey(changes: readonly Change[]): string {
  return changes.map(changeKey).sort().join(";");
}

function changeKey(change: Change): string {
  switch (change.kind) {
    case "driver":
      return `d${change.driver}=${change.value}`;
    case "pin":
      return `p${change.pin}=${change.value}`;
    case "net":
      return `n${change.net}=${change.value}`;
    case "bridge":
      return `b${Math.min(change.first, change.second)}+${Math.max(change.first, change.second)}`;
    case "pull":
      return `u${change.pull}`;
    case "part":
      return `q${change.part}=${JSON.stringify(change.fault)}`;
  }
}

/**
 * Makes the changes on the engine and marks what they touch as due; call `settle` afterwards.
 * Two changes to one place: the later wins, except that internal part faults are merged.
 */
export function applyChanges(engine: Engine, changes: readonly Change[]): void {
  for (const change of changes) {
    switch (change.kind) {
      case "driver":
        engine.driverForce[change.driver] = change.value;
        break;
      case "pin":
        engine.pinForce[change.pin] = change.value;
        break;
      case "net":
        engine.netForce[change.net] = change.value;
        break;
      case "bridge":
        engine.bridged[change.first] = change.second;
        engine.bridged[change.second] = change.first;
        break;
      case "pull":
        engine.pullOff[change.pull] = 1;
        break;
      case "part": {
        const before = engine.partFaults[change.part];
        engine.partFaults[change.part] =
          before === undefined ? change.fault : mergeFaults(before, change.fault);
        break;
      }
    }
  }
  touchChanges(engine, changes);
}

function mergeFaults(first: PartFault, second: PartFault): PartFault {
  const someCells = first.someCells === true && second.someCells === true;
  return {
    lostBits: [...(first.lostBits ?? []), ...(second.lostBits ?? [])],
    ...(someCells ? { someCells } : {}),
    improper: first.improper === true || second.improper === true,
    silent: first.silent === true || second.silent === true,
  };
}

/** Takes the changes back; values must be undone by the caller (`engine.undo`). */
export function revertChanges(engine: Engine, changes: readonly Change[]): void {
  for (const change of changes) {
    switch (change.kind) {
      case "driver":
        engine.driverForce[change.driver] = -1;
        break;
      case "pin":
        engine.pinForce[change.pin] = -1;
        break;
      case "net":
        engine.netForce[change.net] = -1;
        break;
      case "bridge":
        engine.bridged[change.first] = -1;
        engine.bridged[change.second] = -1;
        break;
      case "pull":
        engine.pullOff[change.pull] = 0;
        break;
      case "part":
        engine.partFaults[change.part] = undefined;
        break;
    }
  }
}

function touchChanges(engine: Engine, changes: readonly Change[]): void {
  for (const change of changes) {
    switch (change.kind) {
      case "driver":
        engine.touchDriver(change.driver);
        break;
      case "pin":
        engine.touchElementsOfPart(engine.wiring.pins[change.pin]?.part ?? -1);
        break;
      case "net":
        engine.refreshNet(change.net);
        break;
      case "bridge":
        engine.refreshNet(change.first);
        engine.refreshNet(change.second);
        break;
      case "pull":
        engine.refreshNet(engine.pulls[change.pull]?.net ?? -1);
        break;
      case "part":
        engine.touchElementsOfPart(change.part);
        break;
    }
  }
}
