import type { CircuitPart, Driver, Pull, Wiring } from "./circuit.js";
import { type PartFault, Supply, spoil } from "./condition.js";
import { DueElements } from "./due.js";
import { dataListenersByNet, inOrder, type Listener, listenersByNet } from "./listeners.js";
import { flatten, type Groups } from "./order.js";
import { PinReader } from "./pin-reader.js";
import { copyValue, differingPhases, planeCount, planeShift, putValue, unionOf } from "./planes.js";
import { markWrong, NetResolver } from "./resolve.js";
import { SupplyShorts } from "./shorts.js";
import { Trail } from "./trail.js";
import { Level, wrongFlag } from "./value.js";

/** How the processor fares; every row of the effect table is settled under one of these. */
export const processorStates = [
  "running",
  "late-halted",
  "late-looping",
  "late-wild",
  "early-halted",
  "early-looping",
  "early-wild",
  "dead",
] as const;
export type ProcessorState = (typeof processorStates)[number];

/** One thing that computes the values of one or more drivers from what its pins read. */
export interface Element extends Listener {
  readonly part: number;
  /** Its outputs also depend on what its inputs were before. */
  readonly stores?: boolean;
  /** Whether data that changed in the given phases can matter. Must be there if there are data pins. */
  takesData?(engine: Engine, phases: number): boolean;
  /** Recomputes its drivers in every phase. */
  evaluate(engine: Engine): void;
}

/** Tables of the trail. */
const ofNets = 0;
const ofDrivers = 1;

/** So often an element is evaluated in one settling before its outputs count as unsettled. */
const usualLimit = 24;

/**
 * A board with values. Starts from a settled state, takes the changes a fault makes, lets them spread,
 * and can be taken back to where it was. Values are kept in planes (see planes.ts), `1 << planeShift` numbers each.
 * Not re-entrant: one engine, one thing at a time.
 */
export class Engine {
  readonly wiring: Wiring;
  readonly phaseCount: number;
  readonly allPhases: number;
  /** Numbered from inputs to outputs. */
  readonly elements: readonly Element[];
  readonly drivers: readonly Driver[];
  readonly pulls: readonly Pull[];
  /** What each net carries. */
  readonly nets: Int32Array;
  /** What each driver puts out. */
  readonly drive: Int32Array;
  /** What each net carries on the healthy board. */
  readonly healthy: Int32Array;
  /** What each driver puts out on the healthy board. */
  readonly healthyDrive: Int32Array;
  /** Levels the board file gives for nets, in the phases of `givenIn`. */
  readonly given: Int32Array;
  /** Phases in which the board file gives a level, by net. */
  readonly givenIn: Int32Array;
  readonly pinForce: Int16Array;
  readonly driverForce: Int16Array;
  readonly netForce: Int16Array;
  readonly bridged: Int32Array;
  readonly pullOff: Uint8Array;
  readonly partFaults: (PartFault | undefined)[];
  processorState: ProcessorState = "running";
  /** While true the values found define health. */
  findingHealth = false;
  /** Nets that did not come to rest in the last settling. */
  readonly unsettledNets: number[] = [];

  /** What the pins read. */
  readonly pins: PinReader;
  private readonly resolver: NetResolver;
  private readonly trail: Trail;
  private readonly due: DueElements;
  private readonly visits: Uint16Array;
  private readonly visited: number[] = [];
  /** The element being evaluated has been so too often. */
  private chasing = false;
  /** Phases in which a driver is held unsettled, by driver. */
  private readonly unsettledIn: Int32Array;
  private readonly unsettledDrivers: number[] = [];
  /** Elements to be evaluated when a net changes, by net. */
  private readonly listeners: Groups;
  /** Elements that take data from a net. */
  private readonly dataListeners: Groups;
  /** Nets with a resistor to a supply net, by supply net. */
  private readonly pulledTo: Groups;
  /** Drivers by net. */
  readonly driversOfNet: readonly (readonly number[])[];
  private readonly shorts: SupplyShorts;
  private readonly elementOfDriver: Int32Array;
  private readonly elementsOfPart: Groups;
  private readonly netOfDriver: Int32Array;
  private readonly partOfDriver: Int32Array;
  /** Marks of `changedNets`, all 0 between calls. */
  private readonly listed: Uint8Array;
  private readonly scratch = new Int32Array(planeCount);

  constructor(
    wiring: Wiring,
    elements: readonly Element[],
    drivers: readonly Driver[],
    pulls: readonly Pull[],
  ) {
    this.wiring = wiring;
    this.phaseCount = wiring.phaseCount;
    this.allPhases = 2 ** wiring.phaseCount - 1;
    this.drivers = drivers;
    this.pulls = pulls;
    const netCount = wiring.nets.length;
    this.nets = new Int32Array(netCount << planeShift);
    this.healthy = new Int32Array(netCount << planeShift);
    this.given = new Int32Array(netCount << planeShift);
    this.givenIn = new Int32Array(netCount);
    this.drive = new Int32Array(drivers.length << planeShift);
    this.healthyDrive = new Int32Array(drivers.length << planeShift);
    this.pinForce = new Int16Array(wiring.pins.length).fill(-1);
    this.driverForce = new Int16Array(drivers.length).fill(-1);
    this.netForce = new Int16Array(netCount).fill(-1);
    this.bridged = new Int32Array(netCount).fill(-1);
    this.pullOff = new Uint8Array(pulls.length);
    this.partFaults = wiring.parts.map(() => undefined);
    this.netOfDriver = Int32Array.from(drivers, (driver) => driver.net);
    this.partOfDriver = Int32Array.from(drivers, (driver) => driver.part);
    for (let net = 0; net < netCount; net += 1) {
      for (let phase = 0; phase < this.phaseCount; phase += 1) {
        const level = wiring.givenLevel[net * this.phaseCount + phase] as number;
        if (level < 0) continue;
        putValue(this.given, net << planeShift, level, 1 << phase);
        this.givenIn[net] = (this.givenIn[net] as number) | (1 << phase);
      }
    }
    this.elements = inOrder(wiring, elements, drivers);
    this.listeners = flatten(listenersByNet(wiring, this.elements));
    this.dataListeners = flatten(dataListenersByNet(wiring, this.elements));
    const pulledTo: number[][] = wiring.nets.map(() => []);
    for (const { net, rail } of pulls) pulledTo[rail]?.push(net);
    this.pulledTo = flatten(pulledTo);
    this.elementOfDriver = new Int32Array(drivers.length);
    this.driversOfNet = groupBy(netCount, this.netOfDriver);
    this.shorts = new SupplyShorts(wiring.netDuty, drivers, this);
    const ofPart: number[][] = wiring.parts.map(() => []);
    for (const [e, element] of this.elements.entries()) {
      for (const driver of element.drivers) this.elementOfDriver[driver] = e;
      ofPart[element.part]?.push(e);
    }
    this.elementsOfPart = flatten(ofPart);
    const { nets, healthy, drive, pullOff, pinForce, netForce, allPhases } = this;
    const { netDuty } = wiring;
    const isWeak = (driver: Driver): boolean => isWeakPart(wiring.parts[driver.part]);
    this.pins = new PinReader(wiring, { nets, healthy, pinForce, allPhases });
    this.resolver = new NetResolver({
      drivers,
      pulls,
      netDuty,
      drive,
      nets,
      pullOff,
      netForce,
      allPhases,
      isWeak,
    });
    this.trail = new Trail(nets, drive);
    this.due = new DueElements(elements.length);
    this.visits = new Uint16Array(elements.length);
    this.listed = new Uint8Array(netCount);
    this.unsettledIn = new Int32Array(drivers.length);
  }

  /** What an instrument sees on a net over all phases together. */
  unionOf(net: number): number {
    return unionOf(this.nets, net << planeShift, this.allPhases);
  }

  /**
   * Puts a value on a driver in all phases and lets the net follow. Supply troubles and internal faults of the
   * part are applied here, so that every kind of element has them alike.
   * @param wanted the value in planes, from place 0 on; it may be overwritten
   */
  setDrive(driver: number, wanted: Int32Array, supply: number): void {
    const all = this.allPhases;
    const forced = this.driverForce[driver] as number;
    if (forced >= 0) putValue(wanted, 0, forced, all);
    else if (!this.findingHealth) {
      const fault = this.partFaults[this.partOfDriver[driver] as number];
      if (supply !== Supply.good || fault !== undefined) spoil(wanted, supply, fault, all);
    }
    const { drive } = this;
    const at = driver << planeShift;
    let changed = differingPhases(drive, at, wanted);
    if (changed === 0) return;
    if (this.chasing || this.unsettledIn[driver] !== 0) {
      this.holdUnsettled(driver, wanted, changed);
      changed = differingPhases(drive, at, wanted);
      if (changed === 0) return;
    }
    this.trail.save(ofDrivers, at);
    copyValue(wanted, 0, drive, at);
    this.refreshNet(this.netOfDriver[driver] as number);
  }

  /** Makes a driver unsettled in the phases in which it keeps changing, for the rest of the settling. */
  private holdUnsettled(driver: number, wanted: Int32Array, changed: number): void {
    if (this.chasing && this.unsettledIn[driver] === 0) {
      this.unsettledDrivers.push(driver);
      this.unsettledNets.push(this.netOfDriver[driver] as number);
    }
    if (this.chasing) this.unsettledIn[driver] = (this.unsettledIn[driver] as number) | changed;
    putValue(wanted, 0, Level.unsettled | wrongFlag, this.unsettledIn[driver] as number);
  }

  /** Works a net's value out anew, and that of a net that touches it; who listens becomes due if it changes. */
  refreshNet(net: number): void {
    if (net < 0) return;
    const partner = this.bridged[net] as number;
    this.refreshOne(net, partner);
    if (partner >= 0) this.refreshOne(partner, net);
    this.refreshFeeders(net);
    if (partner >= 0) this.refreshFeeders(partner);
  }

  private refreshFeeders(net: number): void {
    for (const feeder of this.shorts.feedersOf(net)) {
      this.refreshOne(feeder, this.bridged[feeder] as number);
      this.refreshFeeders(feeder);
    }
  }

  private refreshOne(net: number, partner: number): void {
    const { scratch, nets, healthy } = this;
    const at = net << planeShift;
    this.resolver.resolve(net, partner, scratch);
    if (!this.findingHealth && this.shorts.isShorted(net))
      putValue(scratch, 0, Level.railAbsent | wrongFlag, this.allPhases);
    scratch[6] = 0;
    if (this.findingHealth) {
      scratch[5] = 0;
      copyValue(scratch, 0, healthy, at);
    } else markWrong(scratch, healthy, at);
    const changed = differingPhases(nets, at, scratch);
    if (changed === 0) return;
    this.trail.save(ofNets, at);
    copyValue(scratch, 0, nets, at);
    this.wake(net, changed);
  }

  /** Makes due who listens to a net; a rail carries with it the nets that are pulled to it. */
  private wake(net: number, changed: number): void {
    const { listeners, dataListeners, due } = this;
    for (let i = listeners.start[net] as number; i < (listeners.start[net + 1] as number); i += 1) {
      due.add(listeners.items[i] as number);
    }
    for (let i = dataListeners.start[net] as number; i < (dataListeners.start[net + 1] as number); i += 1) {
      const e = dataListeners.items[i] as number;
      if (this.elements[e]?.takesData?.(this, changed) !== false) due.add(e);
    }
    const { start, items } = this.pulledTo;
    for (let i = start[net] as number; i < (start[net + 1] as number); i += 1)
      this.refreshNet(items[i] as number);
  }

  makeDue(element: number): void {
    this.due.add(element);
  }

  /** Makes a driver's element due and applies what is forced on the driver at once. */
  touchDriver(driver: number): void {
    if ((this.driverForce[driver] as number) >= 0)
      this.setDrive(driver, new Int32Array(planeCount), Supply.good);
    else this.due.add(this.elementOfDriver[driver] as number);
  }

  /** Makes every element of a part due. */
  touchElementsOfPart(part: number): void {
    if (part < 0) return;
    const { start, items } = this.elementsOfPart;
    for (let i = start[part] as number; i < (start[part + 1] as number); i += 1)
      this.due.add(items[i] as number);
  }

  /**
   * Lets all due changes spread until nothing changes. Where values chase each other round a loop, an element's
   * outputs become unsettled in the phases in which they still change after `limit` evaluations, and stay so.
   */
  settle(limit = usualLimit): void {
    const { due, visits, visited, elements } = this;
    for (let e = due.take(); e >= 0; e = due.take()) {
      const count = (visits[e] as number) + 1;
      visits[e] = count;
      if (count === 1) visited.push(e);
      this.chasing = count > limit;
      elements[e]?.evaluate(this);
    }
    this.chasing = false;
    for (let i = 0; i < visited.length; i += 1) visits[visited[i] as number] = 0;
    visited.length = 0;
    for (const driver of this.unsettledDrivers) this.unsettledIn[driver] = 0;
    this.unsettledDrivers.length = 0;
  }

  /** Nets changed since `mark`, each once, in the order of their first change. */
  changedNets(mark: number): readonly number[] {
    const { listed } = this;
    const changed: number[] = [];
    this.trail.each(ofNets, mark, (at) => {
      const net = at >> planeShift;
      if (listed[net]) return;
      listed[net] = 1;
      changed.push(net);
    });
    for (const net of changed) listed[net] = 0;
    return changed;
  }

  /** Point to which `undo` can return. */
  mark(): number {
    return this.trail.mark();
  }

  /** Takes back every value change since `mark` (forces are the caller's to take back). */
  undo(mark: number): void {
    this.trail.undo(mark);
    this.unsettledNets.length = 0;
  }

  /** Forgets how it got here: the present values become the state `undo(0)` returns to. */
  keep(): void {
    this.trail.clear();
  }
}

/** MOS memories, processors and peripherals sink a few milliampere, less than a TTL output's high level gives. */
function isWeakPart(part: CircuitPart | undefined): boolean {
  if (part === undefined || !["nmos", "cmos"].includes(part.type.technology)) return false;
  return ["memory", "processor", "peripheral"].includes(part.type.behaviour.kind);
}

function groupBy(size: number, keys: Int32Array): number[][] {
  const groups: number[][] = Array.from({ length: size }, () => []);
  for (const [i, key] of keys.entries()) groups[key]?.push(i);
  return groups;
}
