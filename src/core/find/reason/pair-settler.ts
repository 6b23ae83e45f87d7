import { machineObservables } from "../table/chain.js";
import { EffectSettler, writeView } from "../table/effect-table.js";
import { Footprints } from "./footprints.js";
import type { FaultSpace, RowView } from "./space.js";

/** A row settled for two effects together, with its share. */
export interface JointRow {
  readonly view: RowView;
  readonly share: number;
}

/**
 * Settles pairs of effects together and remembers them, so that a pair is settled once however long the log grows.
 */
export class PairSettler {
  private readonly space: FaultSpace;
  private readonly settler: EffectSettler;
  private readonly known = new Map<number, readonly JointRow[]>();
  private readonly footprints: Footprints;
  /** Pairs settled so far, over all calls. */
  settled = 0;

  constructor(space: FaultSpace) {
    this.space = space;
    this.settler = new EffectSettler(space.circuit, space.model);
    this.footprints = new Footprints(space);
  }

  /** True if nothing that one effect touches can depend on what the other touches: then they combine exactly. */
  apart(first: number, second: number): boolean {
    return this.footprints.apart(first, second);
  }

  /** Rows of the two effects acting together, in either order. */
  rows(one: number, other: number): readonly JointRow[] {
    const first = Math.min(one, other);
    const second = Math.max(one, other);
    const key = first * this.space.effects.length + second;
    const known = this.known.get(key);
    if (known !== undefined) return known;
    const { circuit, effects } = this.space;
    const changes = [...(effects[first]?.changes ?? []), ...(effects[second]?.changes ?? [])];
    const netCount = circuit.wiring.nets.length;
    const rows: JointRow[] = [];
    for (const [state, share] of this.settler.statesOf({ changes })) {
      const { seen, view } = this.settler.settleRow({ changes }, state);
      const machine = new Uint8Array(machineObservables.length);
      writeView(machine, 0, view);
      rows.push({ view: { nets: seen.slice(), netBase: 0, machine, machineBase: 0 }, share });
    }
    this.settled += 1;
    this.known.set(key, rows);
    if (netCount * this.known.size > 64_000_000) this.known.clear();
    return rows;
  }

  /** Leaves the circuit's engine on the healthy board. */
  release(): void {
    this.settler.release();
  }
}
