import type { Driver, Pull, Wiring } from "./circuit.js";
import { pairsOfInput } from "./pairs.js";
import { Level, levelMask, partTimeFlag, wrongFlag } from "./value.js";

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
export interface Element {
  readonly part: number;
  /** Pins it reads; a change on their nets makes it due. */
  readonly inputs: readonly number[];
  /** Nets it follows without a pin of its own kind: what passive and supply parts pass on. */
  readonly follows?: readonly number[];
  /** Supply pins. */
  readonly supplies: readonly number[];
  /** Drivers it computes. */
  readonly drivers: readonly number[];
  /** Recomputes its drivers in the phases of the bit set (elements that look at all phases ignore it). */
  evaluate(engine: Engine, phases: number): void;
}

/** Condition of a part's supply as far as its function goes. */
export const Supply = { good: 0, rippled: 1, bad: 2, absent: 3 } as const;

/** Internal states a fault can give a part. */
export interface PartFault {
  /** Data bits that are lost or changed; -1 stands for all. */
  readonly lostBits?: readonly number[];
  /** Only some cells are lost: accesses that merely need "most" of the memory still succeed. */
  readonly someCells?: boolean;
  /** Everything it puts out is wrong though it moves as usual. */
  readonly improper?: boolean;
  /** Its outputs stand still. */
  readonly silent?: boolean;
}

/**
 * A board with values. Starts from a settled state, takes the changes a fault makes, lets them spread,
 * and can be taken back to where it was. Not re-entrant: one engine, one thing at a time.
 */
export class Engine {
  readonly wiring: Wiring;
  readonly phaseCount: number;
  readonly allPhases: number;
  readonly elements: readonly Element[];
  readonly drivers: readonly Driver[];
  readonly pulls: readonly Pull[];
  /** Net values [nets × phases]. */
  readonly values: Uint8Array;
  /** What each driver puts out [drivers × phases]. */
  readonly drive: Uint8Array;
  /** Levels of the healthy board [nets × phases]. */
  readonly healthy: Uint8Array;
  /** Driver values of the healthy board [drivers × phases]. */
  readonly healthyDrive: Uint8Array;
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
  unsettledNets: number[] = [];

  readonly driversOfNet: readonly (readonly number[])[];
  private readonly pullsOfNet: readonly (readonly number[])[];
  private readonly elementOfDriver: Int32Array;
  private readonly elementsOfPart: readonly (readonly number[])[];
  private readonly listenersOfNet: readonly (readonly number[])[];
  private readonly due: Int32Array;
  private readonly duePhases: Int32Array;
  private queueStart = 0;
  private queueLength = 0;
  /** Old values for `undo`: cell × 2 + (1 for a net cell, 0 for a driver cell), and the value it had. */
  private trailCell = new Int32Array(4096);
  private trailValue = new Uint8Array(4096);
  private trailLength = 0;
  /** The only driver of a net that has no pull, else -1: most nets need no more than a copy. */
  private readonly onlyDriver: Int32Array;
  private readonly visits: Uint16Array;
  private visited: number[] = [];

  constructor(
    wiring: Wiring,
    elements: readonly Element[],
    drivers: readonly Driver[],
    pulls: readonly Pull[],
  ) {
    this.wiring = wiring;
    this.phaseCount = wiring.phaseCount;
    this.allPhases = 2 ** wiring.phaseCount - 1;
    this.elements = elements;
    this.drivers = drivers;
    this.pulls = pulls;
    const netCount = wiring.nets.length;
    this.values = new Uint8Array(netCount * this.phaseCount);
    this.healthy = new Uint8Array(netCount * this.phaseCount);
    this.drive = new Uint8Array(drivers.length * this.phaseCount);
    this.healthyDrive = new Uint8Array(drivers.length * this.phaseCount);
    this.pinForce = new Int16Array(wiring.pins.length).fill(-1);
    this.driverForce = new Int16Array(drivers.length).fill(-1);
    this.netForce = new Int16Array(netCount).fill(-1);
    this.bridged = new Int32Array(netCount).fill(-1);
    this.pullOff = new Uint8Array(pulls.length);
    this.partFaults = wiring.parts.map(() => undefined);
    this.driversOfNet = groupBy(
      netCount,
      drivers.map((d) => d.net),
    );
    this.pullsOfNet = groupBy(
      netCount,
      pulls.map((p) => p.net),
    );
    const listeners: Set<number>[] = wiring.nets.map(() => new Set<number>());
    for (const [e, element] of elements.entries()) {
      for (const pin of [...element.inputs, ...element.supplies]) {
        const net = wiring.pins[pin]?.net ?? -1;
        if (net >= 0) listeners[net]?.add(e);
      }
      for (const net of element.follows ?? []) listeners[net]?.add(e);
    }
    this.onlyDriver = Int32Array.from(wiring.nets, (_, net) => {
      const own = this.driversOfNet[net] ?? [];
      const plain = wiring.netDuty[net] === 0 && own.length === 1 && this.pullsOfNet[net]?.length === 0;
      return plain ? (own[0] ?? -1) : -1;
    });
    this.elementOfDriver = new Int32Array(drivers.length);
    for (const [e, element] of elements.entries())
      for (const driver of element.drivers) this.elementOfDriver[driver] = e;
    this.elementsOfPart = groupBy(
      wiring.parts.length,
      elements.map((element) => element.part),
    );
    this.listenersOfNet = listeners.map((set) => [...set]);
    this.due = new Int32Array(elements.length + 1);
    this.duePhases = new Int32Array(elements.length);
    this.visits = new Uint16Array(elements.length);
  }

  /** Value a pin reads in a phase: the net's, unless a fault parts the two. */
  readPin(pin: number, phase: number): number {
    const forced = this.pinForce[pin] as number;
    if (forced >= 0) return forced;
    const net = this.wiring.pins[pin]?.net ?? -1;
    return net < 0 ? Level.floating : (this.values[net * this.phaseCount + phase] as number);
  }

  /** Level a pin reads in a phase on the healthy board. */
  healthyLevelOfPin(pin: number, phase: number): number {
    const net = this.wiring.pins[pin]?.net ?? -1;
    return net < 0 ? Level.floating : (this.healthy[net * this.phaseCount + phase] as number);
  }

  /** Pair set a pin reads in a phase. */
  pairsOfPin(pin: number, phase: number): number {
    const at = this.wiring.pins[pin];
    if (at === undefined || at.net < 0)
      return pairsOfInput[((at?.reading ?? 0) << 10) | (3 << 6) | 3] as number;
    const cell = at.net * this.phaseCount + phase;
    const forced = this.pinForce[pin] as number;
    const value = forced >= 0 ? forced : (this.values[cell] as number);
    return pairsOfInput[(at.reading << 10) | ((this.healthy[cell] as number) << 6) | value] as number;
  }

  /** Fills `pairs` with what each pin reads in a phase. */
  readPairs(inputs: readonly number[], phase: number, pairs: Uint8Array): void {
    for (let i = 0; i < inputs.length; i += 1) pairs[i] = this.pairsOfPin(inputs[i] as number, phase);
  }

  /** True if the pin reads wrong information, or is cut off, in the phase. */
  pinWrong(pin: number, phase: number): boolean {
    return (this.readPin(pin, phase) & wrongFlag) !== 0;
  }

  /** How well the element's part is supplied. */
  supplyOf(element: Element): number {
    let worst: number = Supply.good;
    for (const pin of element.supplies) {
      const level = this.readPin(pin, 0) & levelMask;
      const state =
        level === Level.railGood || level === Level.railHigh || level === Level.low || level === Level.high
          ? Supply.good
          : level === Level.railRippled
            ? Supply.rippled
            : level === Level.railLow
              ? Supply.bad
              : Supply.absent;
      if (state > worst) worst = state;
    }
    return worst;
  }

  /**
   * Puts a value on a driver in a phase and lets the net follow. Supply troubles and internal faults of the
   * part are applied here, so that every kind of element has them alike.
   */
  setDrive(driver: number, phase: number, wanted: number, supply: number): void {
    const cell = driver * this.phaseCount + phase;
    const forced = this.driverForce[driver] as number;
    let value = wanted;
    if (forced >= 0) value = forced;
    else if (!this.findingHealth) {
      if (supply === Supply.absent) value = Level.floating | wrongFlag;
      else if (supply === Supply.bad && (value & levelMask) !== Level.floating)
        value = Level.steady | wrongFlag;
      else if (supply === Supply.rippled && (value & levelMask) !== Level.floating) value |= wrongFlag;
      const fault = this.partFaults[this.drivers[driver]?.part ?? -1];
      if (fault?.silent === true && (value & levelMask) !== Level.floating) value = Level.steady | wrongFlag;
      else if (fault?.improper === true && (value & levelMask) !== Level.floating) value |= wrongFlag;
    }
    const old = this.drive[cell] as number;
    if (old === value) return;
    this.record(0, cell, old);
    this.drive[cell] = value;
    this.refreshNet(this.drivers[driver]?.net ?? -1, phase);
  }

  /** Recomputes a net's value in a phase from its drivers. */
  refreshNet(net: number, phase: number): void {
    if (net < 0) return;
    const partner = this.bridged[net] as number;
    this.storeNet(net, phase, this.resolve(net, partner, phase));
    if (partner >= 0) this.storeNet(partner, phase, this.resolve(partner, net, phase));
  }

  private storeNet(net: number, phase: number, resolved: number): void {
    const cell = net * this.phaseCount + phase;
    let value = resolved;
    if (this.findingHealth) {
      value &= ~wrongFlag;
      this.healthy[cell] = value & levelMask;
    } else {
      const level = value & levelMask;
      if (level !== this.healthy[cell]) value |= wrongFlag;
      else if (level === Level.low || level === Level.high || level === Level.floating) value &= ~wrongFlag;
    }
    const old = this.values[cell] as number;
    if (old === value) return;
    this.record(1, cell, old);
    this.values[cell] = value;
    for (const element of this.listenersOfNet[net] as readonly number[]) this.makeDue(element, 1 << phase);
  }

  /** Level and rightness of a net with all that drives it, and with the net bridged to it if there is one. */
  private resolve(net: number, partner: number, phase: number): number {
    const forced = this.netForce[net] as number;
    if (forced >= 0) return forced;
    const only = this.onlyDriver[net] as number;
    if (only >= 0 && partner < 0) {
      const value = this.drive[only * this.phaseCount + phase] as number;
      const level = value & levelMask;
      if (level === Level.floating) return Level.floating;
      if (!(value & partTimeFlag)) return value;
      return Level.pulsing | (value & wrongFlag);
    }
    const duty = this.wiring.netDuty[net];
    if (duty === 2) return Level.low;
    if (partner >= 0) {
      const partnerForce = this.netForce[partner] as number;
      if (partnerForce >= 0) return partnerForce | wrongFlag;
      if (this.wiring.netDuty[partner] === 2) return (duty === 1 ? Level.railAbsent : Level.low) | wrongFlag;
      if (this.wiring.netDuty[partner] === 1 && duty !== 1) return Level.high | wrongFlag;
    }
    this.fullCount = 0;
    this.partCount = 0;
    this.anyLow = false;
    this.anyMoves = false;
    this.sameLevel = -1;
    this.wrong = 0;
    this.countDrivers(net, phase);
    if (partner >= 0 && duty !== 1) {
      this.countDrivers(partner, phase);
      // Two lines tied together carry each other's information even where they do not fight.
      this.wrong = wrongFlag;
    }
    if (this.fullCount === 0) {
      const pulled = this.pullLevel(net, partner);
      if (this.partCount === 0) return pulled;
      if (this.partCount === 1 && this.sameLevel === pulled && !this.anyMoves) return pulled | this.wrong;
      return (this.anyMoves || pulled !== this.sameLevel ? Level.pulsing : this.sameLevel) | this.wrong;
    }
    if (this.fullCount === 1 || this.sameLevel >= 0) {
      if (this.partCount > 0 && this.fullCount === 1) {
        return (this.wrong ? Level.fightPulsing : Level.pulsing) | this.wrong;
      }
      if (this.sameLevel >= 0) return this.sameLevel | this.wrong;
    }
    return (this.anyLow ? Level.fightLow : Level.fightPulsing) | wrongFlag;
  }

  private fullCount = 0;
  private partCount = 0;
  private anyLow = false;
  private anyMoves = false;
  /** Level all drivers so far agree on, -1 none yet, -2 they differ. */
  private sameLevel = -1;
  private wrong = 0;

  private countDrivers(net: number, phase: number): void {
    for (const driver of this.driversOfNet[net] as readonly number[]) {
      const value = this.drive[driver * this.phaseCount + phase] as number;
      const level = value & levelMask;
      if (level === Level.floating) {
        // A released output that should drive leaves its net wrong only if nobody else makes up for it.
        continue;
      }
      this.wrong |= value & wrongFlag;
      if (value & partTimeFlag) this.partCount += 1;
      else this.fullCount += 1;
      if (level === Level.low || level === Level.fightLow) this.anyLow = true;
      else if (level !== Level.high && level < Level.railAbsent) this.anyMoves = true;
      if (this.sameLevel === -1) this.sameLevel = level;
      else if (this.sameLevel !== level || level === Level.pulsing) {
        if (!(value & partTimeFlag) && this.fullCount > 1) this.sameLevel = -2;
        else if (this.sameLevel !== level) this.sameLevel = -2;
      }
    }
  }

  private pullLevel(net: number, partner: number): number {
    let toGround = false;
    let toRail = false;
    for (const at of partner >= 0 ? [net, partner] : [net]) {
      for (const pull of this.pullsOfNet[at] as readonly number[]) {
        if (this.pullOff[pull]) continue;
        const rail = this.pulls[pull]?.rail ?? 0;
        if (this.wiring.netDuty[rail] === 2) {
          toGround = true;
          continue;
        }
        const level = (this.values[rail * this.phaseCount] as number) & levelMask;
        if (level === Level.railGood || level === Level.railHigh || level === Level.railRippled)
          toRail = true;
      }
    }
    // A divider between a rail and ground holds its net at a fixed level between the two.
    if (toRail) return toGround ? Level.steady : Level.high;
    if (toGround) return Level.low;
    return this.wiring.netDuty[net] === 1 ? Level.railAbsent : Level.floating;
  }

  makeDue(element: number, phases: number): void {
    if (this.duePhases[element] === 0) {
      const capacity = this.due.length;
      this.due[(this.queueStart + this.queueLength) % capacity] = element;
      this.queueLength += 1;
    }
    this.duePhases[element] = (this.duePhases[element] as number) | phases;
  }

  /** Makes everything due that belongs to a net: its own value, its listeners and its drivers. */
  touchNet(net: number): void {
    for (let phase = 0; phase < this.phaseCount; phase += 1) this.refreshNet(net, phase);
  }

  /** Makes a driver's element due and applies what is forced on the driver at once. */
  touchDriver(driver: number): void {
    const forced = this.driverForce[driver] as number;
    if (forced >= 0) {
      for (let phase = 0; phase < this.phaseCount; phase += 1)
        this.setDrive(driver, phase, forced, Supply.good);
    } else this.makeDue(this.elementOfDriver[driver] as number, this.allPhases);
  }

  /** Makes every element of a part due. */
  touchElementsOfPart(part: number): void {
    for (const e of this.elementsOfPart[part] ?? []) this.makeDue(e, this.allPhases);
  }

  /**
   * Lets all due changes spread until nothing changes. An element that keeps changing (a loop whose values chase
   * each other) is evaluated at most `limit` times, then its nets are marked unsettled and left.
   */
  settle(limit = 24): void {
    const capacity = this.due.length;
    while (this.queueLength > 0) {
      const e = this.due[this.queueStart] as number;
      this.queueStart = (this.queueStart + 1) % capacity;
      this.queueLength -= 1;
      const phases = this.duePhases[e] as number;
      this.duePhases[e] = 0;
      const count = (this.visits[e] as number) + 1;
      this.visits[e] = count;
      if (count === 1) this.visited.push(e);
      if (count > limit) {
        if (count === limit + 1) this.giveUp(e);
        continue;
      }
      this.elements[e]?.evaluate(this, phases);
    }
    for (const e of this.visited) this.visits[e] = 0;
    this.visited = [];
  }

  private giveUp(e: number): void {
    for (const driver of this.elements[e]?.drivers ?? []) {
      for (let phase = 0; phase < this.phaseCount; phase += 1) {
        const cell = driver * this.phaseCount + phase;
        const level = (this.drive[cell] as number) & levelMask;
        if (level === Level.floating || level >= Level.railAbsent) continue;
        this.record(0, cell, this.drive[cell] as number);
        this.drive[cell] = Level.unsettled | wrongFlag;
        this.refreshNet(this.drivers[driver]?.net ?? -1, phase);
      }
      this.unsettledNets.push(this.drivers[driver]?.net ?? -1);
    }
  }

  private record(kind: 0 | 1, index: number, old: number): void {
    if (this.trailLength === this.trailCell.length) this.growTrail();
    this.trailCell[this.trailLength] = index * 2 + kind;
    this.trailValue[this.trailLength] = old;
    this.trailLength += 1;
  }

  private growTrail(): void {
    const cells = new Int32Array(this.trailCell.length * 2);
    cells.set(this.trailCell);
    const values = new Uint8Array(this.trailValue.length * 2);
    values.set(this.trailValue);
    this.trailCell = cells;
    this.trailValue = values;
  }

  /** Net cells changed since `mark`, each once, in no particular order. */
  changedCells(mark: number): number[] {
    const cells = new Set<number>();
    for (let i = mark; i < this.trailLength; i += 1) {
      const at = this.trailCell[i] as number;
      if (at & 1) cells.add(at >> 1);
    }
    return [...cells];
  }

  /** Calls back for every net changed since `mark`, possibly more than once. */
  eachChangedNet(mark: number, visit: (net: number) => void): void {
    for (let i = mark; i < this.trailLength; i += 1) {
      const at = this.trailCell[i] as number;
      if (at & 1) visit(Math.floor((at >> 1) / this.phaseCount));
    }
  }

  /** Point to which `undo` can return. */
  mark(): number {
    return this.trailLength;
  }

  /** Takes back every value change since `mark` (forces are the caller's to take back). */
  undo(mark: number): void {
    for (let i = this.trailLength - 1; i >= mark; i -= 1) {
      const at = this.trailCell[i] as number;
      if (at & 1) this.values[at >> 1] = this.trailValue[i] as number;
      else this.drive[at >> 1] = this.trailValue[i] as number;
    }
    this.trailLength = mark;
    if (this.unsettledNets.length > 0) this.unsettledNets = [];
  }

  /** Forgets how it got here: the present values become the state `undo(0)` returns to. */
  keep(): void {
    this.trailLength = 0;
  }
}

function groupBy(size: number, keys: readonly number[]): number[][] {
  const groups: number[][] = Array.from({ length: size }, () => []);
  for (const [i, key] of keys.entries()) groups[key]?.push(i);
  return groups;
}
