import type { Driver, Wiring } from "./circuit.js";
import { Level, levelMask } from "./value.js";

/** The places where faults are put on a board, as far as they make or end a short. */
export interface ShortTables {
  readonly netForce: Int16Array;
  readonly bridged: Int32Array;
  readonly driverForce: Int16Array;
}

/** What a shorted supply net does to the nets that feed it: without a fuse or regulator between they go down with it. */
export class SupplyShorts {
  private readonly netDuty: Uint8Array;
  private readonly tables: ShortTables;
  private readonly drivers: readonly Driver[];
  /** Drivers that hand a short of their net on to a feeding net, by that net. */
  private readonly draggedBy: readonly (readonly number[])[];
  /** Feeding nets that a short drags down, by the net that is shorted. */
  private readonly feeders: readonly (readonly number[])[];

  constructor(netDuty: Uint8Array, drivers: readonly Driver[], tables: ShortTables) {
    this.netDuty = netDuty;
    this.tables = tables;
    this.drivers = drivers;
    const draggedBy: number[][] = Array.from(netDuty, () => []);
    const feeders: number[][] = Array.from(netDuty, () => []);
    for (const [d, { net, drags }] of drivers.entries()) {
      if (drags === undefined) continue;
      draggedBy[drags]?.push(d);
      feeders[net]?.push(drags);
    }
    this.draggedBy = draggedBy;
    this.feeders = feeders;
  }

  /** Nets that are to be worked out anew when a net is, because a short of it may begin or end to drag them down. */
  feedersOf(net: number): readonly number[] {
    return this.feeders[net] ?? [];
  }

  /** True if a supply net, or one that it feeds without a limit, is shorted to ground. */
  isShorted(net: number): boolean {
    if (this.netDuty[net] !== 1) return false;
    const { netForce, bridged, driverForce } = this.tables;
    const forced = netForce[net] as number;
    if (forced >= 0 && (forced & levelMask) === Level.railAbsent) return true;
    const partner = bridged[net] as number;
    if (partner >= 0 && this.netDuty[partner] === 2) return true;
    // A contact that is open itself hands nothing on.
    return (this.draggedBy[net] ?? []).some(
      (driver) => (driverForce[driver] as number) < 0 && this.isShorted(this.drivers[driver]?.net ?? -1),
    );
  }
}

/** Parts, by net, of the fuses that blow when a supply net is shorted: those it is fed through without a limit between. */
export function fusesInFront(wiring: Wiring, drivers: readonly Driver[]): readonly (readonly number[])[] {
  return wiring.nets.map((_, shorted) => {
    if (wiring.netDuty[shorted] !== 1) return [];
    const dragged = new Set([shorted]);
    const fuses = new Set<number>();
    for (const net of dragged) {
      for (const driver of drivers) {
        if (driver.net !== net) continue;
        const behaviour = wiring.parts[driver.part]?.type.behaviour;
        if (behaviour?.kind === "plain" && behaviour.as === "fuse") fuses.add(driver.part);
        if (driver.drags !== undefined) dragged.add(driver.drags);
      }
    }
    return [...fuses];
  });
}
