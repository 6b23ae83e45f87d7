import type { Driver, Pull } from "./circuit.js";
import { Fight } from "./fight.js";
import { flatten, type Groups } from "./order.js";
import { levelAt, planeShift, putValue } from "./planes.js";
import { Level, wrongFlag } from "./value.js";

/** What outputs and pulls do to each other on the nets of a board. Reads the tables it is given, and keeps none. */
export interface NetTables {
  readonly drivers: readonly Driver[];
  readonly pulls: readonly Pull[];
  /** True for a driver whose low level a TTL output's high level overrides. */
  isWeak(driver: Driver): boolean;
  /** 0 signal, 1 rail, 2 ground. */
  readonly netDuty: Uint8Array;
  /** What each driver puts out. */
  readonly drive: Int32Array;
  /** What each net carries: read for the rails that pulls lead to. */
  readonly nets: Int32Array;
  readonly pullOff: Uint8Array;
  /** A byte of value.ts that holds a net whatever drives it, or -1. */
  readonly netForce: Int16Array;
  /** All phases as a bit set. */
  readonly allPhases: number;
}

/** Works out what the drivers and pulls of a net make of it, in all phases at once. */
export class NetResolver {
  private readonly tables: NetTables;
  private readonly driversOfNet: Groups;
  private readonly pullsOfNet: Groups;
  /** The only driver of a signal net without pulls, else -1: most nets need no more than a copy. */
  private readonly onlyDriver: Int32Array;
  /** Net whose value a driver passes on, or -1. */
  private readonly sourceOf: Int32Array;
  /** 1 for a driver that a stronger one overrides. */
  private readonly isWeak: Uint8Array;
  /** 1 for a net on which resistors mix their sources. */
  private readonly mixes: Uint8Array;
  private readonly fight = new Fight();

  constructor(tables: NetTables) {
    this.tables = tables;
    const drivers: number[][] = Array.from(tables.netDuty, () => []);
    for (const [d, driver] of tables.drivers.entries()) drivers[driver.net]?.push(d);
    const pulls: number[][] = Array.from(tables.netDuty, () => []);
    for (const [p, pull] of tables.pulls.entries()) pulls[pull.net]?.push(p);
    this.driversOfNet = flatten(drivers);
    this.pullsOfNet = flatten(pulls);
    this.sourceOf = Int32Array.from(tables.drivers, (driver) => driver.from ?? -1);
    this.mixes = new Uint8Array(tables.netDuty.length);
    for (const { net, mixes } of tables.drivers) if (mixes === true) this.mixes[net] = 1;
    this.isWeak = Uint8Array.from(tables.drivers, (driver) => (tables.isWeak(driver) ? 1 : 0));
    this.onlyDriver = Int32Array.from(tables.netDuty, (duty, net) => {
      const [first = -1, ...others] = drivers[net] ?? [];
      return duty === 0 && others.length === 0 && pulls[net]?.length === 0 ? first : -1;
    });
  }

  /**
   * Value of a net in planes; its wrongness is that of what makes it. `partner` is the net that touches it, or -1.
   */
  resolve(net: number, partner: number, out: Int32Array): void {
    const constant = this.constantOf(net, partner);
    const only = this.onlyDriver[net] as number;
    if (constant >= 0) putValue(out, 0, constant, this.tables.allPhases);
    else if (only >= 0 && partner < 0) this.copyDriver(only, out);
    else this.combine(net, partner, out);
  }

  /** Value of a net that something stronger than its drivers holds, else -1. */
  private constantOf(net: number, partner: number): number {
    const { netForce, netDuty } = this.tables;
    const forced = netForce[net] as number;
    if (forced >= 0) return forced;
    const duty = netDuty[net];
    if (duty === 2) return Level.low;
    if (partner < 0) return -1;
    const partnerForce = netForce[partner] as number;
    if (partnerForce >= 0) return partnerForce | wrongFlag;
    const partnerDuty = netDuty[partner];
    if (partnerDuty === 2) return (duty === 1 ? Level.railAbsent : Level.low) | wrongFlag;
    return partnerDuty === 1 && duty !== 1 ? Level.high | wrongFlag : -1;
  }

  /** Value of a net with a single driver and no pull. */
  private copyDriver(driver: number, out: Int32Array): void {
    const { drive } = this.tables;
    const at = driver << planeShift;
    const zero = drive[at] as number;
    const one = drive[at + 1] as number;
    const driven = zero | one;
    const shared = (drive[at + 6] as number) & driven;
    out[0] = zero | shared;
    out[1] = one | shared;
    out[2] = (drive[at + 2] as number) | shared;
    out[3] = (drive[at + 3] as number) & ~shared;
    out[4] = (drive[at + 4] as number) & ~shared;
    out[5] = (drive[at + 5] as number) & driven;
  }

  /**
   * Value of a net, together with the net that touches it if `partner` is one. In a fight of outputs the low one
   * wins (see `fight`); outputs that take turns make it pulse; where nobody drives, a pull decides, and without one
   * it floats.
   */
  private combine(net: number, partner: number, out: Int32Array): void {
    const { allPhases, netDuty, drive } = this.tables;
    const { start, items } = this.driversOfNet;
    const { fight: all } = this;
    let seen = 0;
    let part = 0;
    let wrong = 0;
    let varying = 0;
    let differ = 0;
    let zero = 0;
    let one = 0;
    let pulse = 0;
    let loop = 0;
    let fought = 0;
    let moving = 0;
    all.clear();
    const tied = partner >= 0 && netDuty[net] !== 1;
    // What a net gets through a part that is shorted is its own information; what it gets otherwise is not.
    const fed = tied && this.isFedFrom(net, partner);
    for (let side = 0; side < (tied ? 2 : 1); side += 1) {
      const of = side === 0 ? net : partner;
      const foreign = side === 1 && !fed ? allPhases : 0;
      const end = start[of + 1] as number;
      for (let i = start[of] as number; i < end; i += 1) {
        const driver = items[i] as number;
        // A part that passes on the one net to the other does nothing once they touch.
        if (tied && this.sourceOf[driver] === (side === 0 ? partner : net)) continue;
        const at = driver << planeShift;
        const z = drive[at] as number;
        const o = drive[at + 1] as number;
        const driven = z | o;
        if (driven === 0) continue;
        const p = drive[at + 2] as number;
        const l = drive[at + 3] as number;
        const f = drive[at + 4] as number;
        const w = ((drive[at + 5] as number) | foreign) & driven;
        const shared = (drive[at + 6] as number) & driven;
        all.add(driven & ~shared, z, o, w, this.isWeak[driver] === 1);
        wrong |= w;
        part |= shared;
        varying |= z & o;
        const again = seen & driven;
        differ |= again & ((z ^ zero) | (o ^ one) | (p ^ pulse) | (l ^ loop));
        const first = driven & ~seen;
        zero |= first & z;
        one |= first & o;
        pulse |= first & p;
        loop |= first & l;
        moving |= driven & (p | l);
        fought |= f;
        seen |= driven;
      }
    }
    const fights = all.fights();
    // An output, or the pull, that takes turns with others pulses; a fight only if one of them is wrong.
    const turns = part & all.once & ~fights & (differ | varying);
    const pulled = this.pullLevel(net, partner);
    const pulledAs = pulled === Level.low ? ~one : pulled === Level.high ? ~zero : 0;
    const alone = part & ~all.once;
    const joinsPull = alone & ~differ & ~varying & pulledAs;
    const still = this.mixes[net] === 1 ? alone & ~moving & ~joinsPull : 0;
    const pulses = turns | (alone & ~joinsPull & ~still);
    const kept = seen & ~fights & ~pulses;
    // Still sources mixed make a level between theirs.
    const between = still & (differ | varying);
    out[0] = (kept & zero) | pulses | between;
    out[1] = (kept & one) | pulses | between;
    out[2] = (kept & pulse) | pulses;
    out[3] = kept & loop;
    out[4] = (kept & fought) | (turns & wrong);
    out[5] = (kept | pulses) & wrong;
    if (fights !== 0) all.addTo(out, fights);
    const idle = allPhases & ~seen;
    if (idle !== 0) putPulled(out, pulled, idle);
  }

  private isFedFrom(net: number, source: number): boolean {
    const { start, items } = this.driversOfNet;
    for (let i = start[net] as number; i < (start[net + 1] as number); i += 1) {
      if (this.sourceOf[items[i] as number] === source) return true;
    }
    return false;
  }

  /** Level of a net that nobody drives. */
  private pullLevel(net: number, partner: number): number {
    let toGround = false;
    let toRail = false;
    const { start, items } = this.pullsOfNet;
    const { netDuty, nets, pulls, pullOff } = this.tables;
    for (let side = 0; side < (partner >= 0 ? 2 : 1); side += 1) {
      const of = side === 0 ? net : partner;
      for (let i = start[of] as number; i < (start[of + 1] as number); i += 1) {
        const pull = items[i] as number;
        if (pullOff[pull]) continue;
        const rail = pulls[pull]?.rail ?? 0;
        if (netDuty[rail] === 2) {
          toGround = true;
          continue;
        }
        if (levelAt(nets, rail << planeShift, 0) !== Level.railAbsent) toRail = true;
      }
    }
    // A divider between a rail and ground holds its net at a fixed level between the two.
    if (toRail) return toGround ? Level.steady : Level.high;
    if (toGround) return Level.low;
    return netDuty[net] === 1 ? Level.railAbsent : Level.floating;
  }
}

/**
 * Settles what a net's information is worth, at the start of `value`: wrong wherever its level is not the healthy
 * one, right where it is and cannot but be (a level that rests says the same whoever makes it). Whether outputs
 * fight over the level does not count.
 */
export function markWrong(value: Int32Array, healthy: Int32Array, at: number): void {
  const zero = value[0] as number;
  const one = value[1] as number;
  const pulse = value[2] as number;
  const loop = value[3] as number;
  const differs =
    (zero ^ (healthy[at] as number)) |
    (one ^ (healthy[at + 1] as number)) |
    (pulse ^ (healthy[at + 2] as number)) |
    (loop ^ (healthy[at + 3] as number));
  const rests = ~(zero & one) & ~(pulse | loop);
  value[5] = ((value[5] as number) & ~rests) | differs;
}

/** Adds the level of a pull in the phases of the bit set, where nothing stands yet. */
function putPulled(out: Int32Array, level: number, phases: number): void {
  if (level === Level.low || level === Level.steady || level === Level.railAbsent)
    out[0] = (out[0] as number) | phases;
  if (level === Level.high || level === Level.steady) out[1] = (out[1] as number) | phases;
  if (level === Level.railAbsent) {
    out[2] = (out[2] as number) | phases;
    out[3] = (out[3] as number) | phases;
  }
}
