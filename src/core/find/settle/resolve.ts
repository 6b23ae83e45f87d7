import type { Driver, Pull } from "./circuit.js";
import { flatten, type Groups } from "./order.js";
import { levelAt, planeShift, putValue } from "./planes.js";
import { Level, wrongFlag } from "./value.js";

/** What outputs and pulls do to each other on the nets of a board. Reads the tables it is given, and keeps none. */
export interface NetTables {
  readonly drivers: readonly Driver[];
  readonly pulls: readonly Pull[];
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

  constructor(tables: NetTables) {
    this.tables = tables;
    const drivers: number[][] = Array.from(tables.netDuty, () => []);
    for (const [d, driver] of tables.drivers.entries()) drivers[driver.net]?.push(d);
    const pulls: number[][] = Array.from(tables.netDuty, () => []);
    for (const [p, pull] of tables.pulls.entries()) pulls[pull.net]?.push(p);
    this.driversOfNet = flatten(drivers);
    this.pullsOfNet = flatten(pulls);
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
   * wins; outputs that take turns make it pulse; where nobody drives, a pull decides, and without one it floats.
   */
  private combine(net: number, partner: number, out: Int32Array): void {
    const { allPhases, netDuty } = this.tables;
    let seen = 0;
    let full = 0;
    let fullTwice = 0;
    let part = 0;
    let wrong = 0;
    let low = 0;
    let varying = 0;
    let differ = 0;
    let zero = 0;
    let one = 0;
    let pulse = 0;
    let loop = 0;
    let fight = 0;
    // Two lines tied together carry each other's information even where they do not fight.
    const tied = partner >= 0 && netDuty[net] !== 1;
    const { drive } = this.tables;
    const { start, items } = this.driversOfNet;
    for (let side = 0; side < (tied ? 2 : 1); side += 1) {
      const of = side === 0 ? net : partner;
      const end = start[of + 1] as number;
      for (let i = start[of] as number; i < end; i += 1) {
        const at = (items[i] as number) << planeShift;
        const z = drive[at] as number;
        const o = drive[at + 1] as number;
        const driven = z | o;
        if (driven === 0) continue;
        const p = drive[at + 2] as number;
        const l = drive[at + 3] as number;
        const f = drive[at + 4] as number;
        const t = (drive[at + 6] as number) & driven;
        wrong |= (drive[at + 5] as number) & driven;
        part |= t;
        fullTwice |= full & driven & ~t;
        full |= driven & ~t;
        low |= z & ~o;
        varying |= z & o;
        const again = seen & driven;
        differ |= again & ((z ^ zero) | (o ^ one) | (p ^ pulse) | (l ^ loop) | (f ^ fight));
        const first = driven & ~seen;
        zero |= first & z;
        one |= first & o;
        pulse |= first & p;
        loop |= first & l;
        fight |= first & f;
        seen |= driven;
      }
    }
    if (tied) wrong |= allPhases;
    // Outputs that all pulse do so each in its own time.
    differ |= fullTwice & zero & one & pulse & ~loop & ~fight;

    // Full drivers that differ fight.
    const fights = fullTwice & differ;
    const fightsLow = fights & low;
    // A full driver, or the pull, that takes turns with others pulses; a fight only if one of them is wrong.
    const turns = part & full & ~fullTwice;
    const pulled = this.pullLevel(net, partner);
    const pulledAs = pulled === Level.low ? ~one : pulled === Level.high ? ~zero : 0;
    const alone = part & ~full;
    const joinsPull = alone & ~differ & ~varying & ~fight & pulledAs;
    const pulses = turns | (alone & ~joinsPull);
    const kept = seen & ~fights & ~pulses;
    out[0] = (kept & zero) | pulses | fights;
    out[1] = (kept & one) | pulses | (fights & ~fightsLow);
    out[2] = (kept & pulse) | pulses | (fights & ~fightsLow);
    out[3] = kept & loop;
    out[4] = (kept & fight) | fights | (turns & wrong);
    out[5] = (seen & wrong) | fights;
    const idle = allPhases & ~seen;
    if (idle !== 0) putPulled(out, pulled, idle);
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
        const level = levelAt(nets, rail << planeShift, 0);
        if (level === Level.railGood || level === Level.railHigh || level === Level.railRippled)
          toRail = true;
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
 * one, right where it is and cannot but be (a level that rests says the same whoever makes it).
 */
export function markWrong(value: Int32Array, healthy: Int32Array, at: number): void {
  const zero = value[0] as number;
  const one = value[1] as number;
  const pulse = value[2] as number;
  const loop = value[3] as number;
  const fight = value[4] as number;
  const differs =
    (zero ^ (healthy[at] as number)) |
    (one ^ (healthy[at + 1] as number)) |
    (pulse ^ (healthy[at + 2] as number)) |
    (loop ^ (healthy[at + 3] as number)) |
    (fight ^ (healthy[at + 4] as number));
  const rests = ~(zero & one) & ~(pulse | loop | fight);
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
