import type { FailureModeId } from "../../board/failure-mode.js";
import type { Circuit } from "../settle/build.js";
import type { CircuitPart } from "../settle/circuit.js";
import { Level, partTimeFlag, wrongFlag } from "../settle/value.js";
import { type Change, cutOff } from "./change.js";
import type { PassiveSigns } from "./fault.js";

/** One place where a failure mode of a part can strike, with its share of the mode. */
export interface Place {
  readonly detail: string;
  readonly share: number;
  readonly changes: readonly Change[];
  readonly signs: PassiveSigns;
}

/** Looks things up in a circuit the way the placing of faults needs them. */
export class PlaceFinder {
  readonly circuit: Circuit;
  private readonly driversOfPart: number[][];
  private readonly driverOfPin = new Map<number, number>();

  constructor(circuit: Circuit) {
    this.circuit = circuit;
    this.driversOfPart = circuit.wiring.parts.map(() => []);
    for (const [d, driver] of circuit.engine.drivers.entries()) {
      this.driversOfPart[driver.part]?.push(d);
      if (driver.pin >= 0) this.driverOfPin.set(driver.pin, d);
    }
  }

  netOf(pin: number): number {
    return this.circuit.wiring.pins[pin]?.net ?? -1;
  }

  dutyOf(net: number): number {
    return net < 0 ? -1 : (this.circuit.wiring.netDuty[net] as number);
  }

  driverAt(pin: number): number | undefined {
    return this.driverOfPin.get(pin);
  }

  drivers(part: CircuitPart): readonly number[] {
    return this.driversOfPart[part.index] ?? [];
  }

  pinNumber(pin: number): string {
    return this.circuit.wiring.pins[pin]?.number ?? "?";
  }

  /** Pins of a part on signal nets that it listens to. */
  listeningPins(part: CircuitPart): number[] {
    return part.pins.filter((pin) => {
      const kind = this.circuit.wiring.pins[pin]?.kind;
      return (kind === "in" || kind === "bidir") && this.dutyOf(this.netOf(pin)) === 0;
    });
  }

  /** Pins of a part through which it drives signal nets. */
  drivingPins(part: CircuitPart): { pin: number; driver: number }[] {
    return this.drivers(part).flatMap((driver) => {
      const found = this.circuit.engine.drivers[driver];
      return found !== undefined && found.pin >= 0 && this.dutyOf(found.net) === 0
        ? [{ pin: found.pin, driver }]
        : [];
    });
  }

  /** Nets of a part's pins in pin order; -1 where open. */
  nets(part: CircuitPart): number[] {
    return part.pins.map((pin) => this.netOf(pin));
  }
}

/** Places of a failure mode on an integrated circuit, oscillator or supervisor. */
export function placesOnChip(finder: PlaceFinder, part: CircuitPart, mode: FailureModeId): Place[] {
  const whole = (
    fault: { improper?: boolean; silent?: boolean; lostBits?: number[] },
    signs: PassiveSigns = {},
  ): Place[] => [{ detail: "", share: 1, changes: [{ kind: "part", part: part.index, fault }], signs }];
  switch (mode) {
    case "output-stuck-low":
    case "output-stuck-high": {
      const value = (mode === "output-stuck-low" ? Level.low : Level.high) | wrongFlag;
      return perDriver(finder, part, value);
    }
    case "output-open":
      return perDriver(finder, part, cutOff);
    case "input-open":
      return evenly(finder.listeningPins(part), (pin) => ({
        detail: finder.pinNumber(pin),
        changes: [{ kind: "pin", pin, value: cutOff }],
        signs: {},
      }));
    case "input-drags":
      return evenly(finder.listeningPins(part), (pin) => ({
        detail: finder.pinNumber(pin),
        changes: [{ kind: "net", net: finder.netOf(pin), value: Level.low | wrongFlag }],
        signs: { shortedNet: finder.netOf(pin) },
      }));
    case "supply-open":
      return supplyOpen(finder, part);
    case "shorted":
      return shortedSupply(finder, part);
    case "data-bit-lost":
    case "wrong-content":
      return lostBits(part, mode);
    case "address-fault":
      return whole({ lostBits: [-1] });
    case "slow":
    case "improper-output":
    case "wrong-part":
      return whole({ improper: true });
    case "no-output":
      return whole({ silent: true }, { current: "low" });
    case "parameter-change":
      return part.type.family === "linear" ? whole({ improper: true }) : [];
    case "no-oscillation":
      return perDriver(finder, part, Level.steady | wrongFlag);
    case "off-frequency":
      return perDriver(finder, part, Level.pulsing | wrongFlag);
    case "open":
    case "short":
      return part.type.family === "transistor" ? transistorGone(finder, part, mode) : [];
    default:
      return [];
  }
}

/** A transistor that no longer conducts at all, or always does from collector to emitter. */
function transistorGone(finder: PlaceFinder, part: CircuitPart, mode: "open" | "short"): Place[] {
  const [emitter = -1, collector = -1] = ["E", "C"].map((name) =>
    finder.netOf(part.pins.find((pin) => finder.circuit.wiring.pins[pin]?.name === name) ?? -1),
  );
  const signs: PassiveSigns = { deviceReads: mode };
  if (mode === "short" && finder.dutyOf(emitter) === 0 && finder.dutyOf(collector) === 0) {
    const changes: Change[] = [{ kind: "bridge", first: emitter, second: collector }];
    return [{ detail: "", share: 1, changes, signs }];
  }
  // The one of the two that is not on a supply net follows the other for good.
  const grounded = finder.dutyOf(emitter) === 2 || finder.dutyOf(collector) === 2;
  const stuck = (grounded ? Level.low : Level.high) | wrongFlag;
  const value = mode === "open" ? cutOff : stuck;
  const changes = finder.drivingPins(part).map(({ driver }): Change => ({ kind: "driver", driver, value }));
  return changes.length === 0 ? [] : [{ detail: "", share: 1, changes, signs }];
}

export function evenly<T>(list: readonly T[], place: (item: T) => Omit<Place, "share">): Place[] {
  return list.map((item) => ({ ...place(item), share: 1 / list.length }));
}

function perDriver(finder: PlaceFinder, part: CircuitPart, value: number): Place[] {
  return evenly(finder.drivingPins(part), ({ pin, driver }) => ({
    detail: finder.pinNumber(pin),
    changes: [{ kind: "driver", driver, value: value & ~partTimeFlag }],
    signs: {},
  }));
}

function supplyOpen(finder: PlaceFinder, part: CircuitPart): Place[] {
  const pins = part.pins.filter((pin) => {
    const kind = finder.circuit.wiring.pins[pin]?.kind;
    return (kind === "power" || kind === "ground") && finder.netOf(pin) >= 0;
  });
  return evenly(pins, (pin) => ({
    detail: finder.pinNumber(pin),
    // Without its supply or its ground a chip is dead alike; the supply pin stands for both.
    changes:
      finder.circuit.wiring.pins[pin]?.kind === "power"
        ? [{ kind: "pin", pin, value: Level.railAbsent | wrongFlag }]
        : [{ kind: "part", part: part.index, fault: { silent: true } }],
    signs: {},
  }));
}

function shortedSupply(finder: PlaceFinder, part: CircuitPart): Place[] {
  const rails = [
    ...new Set(part.pins.map((pin) => finder.netOf(pin)).filter((net) => finder.dutyOf(net) === 1)),
  ];
  return evenly(rails, (net) => ({
    detail: finder.circuit.wiring.nets[net] ?? "",
    changes: [{ kind: "net", net, value: Level.railAbsent | wrongFlag }],
    signs: { shortedNet: net, hot: true, current: "high" },
  }));
}

/** Each data bit of a memory, half of the time all of its cells and half of the time only some (from memory). */
function lostBits(part: CircuitPart, mode: FailureModeId): Place[] {
  const behaviour = part.type.behaviour;
  const count =
    behaviour.kind === "memory"
      ? behaviour.data.length
      : behaviour.kind === "peripheral"
        ? behaviour.data.length
        : 0;
  if (count === 0) {
    return [
      {
        detail: "",
        share: 1,
        changes: [{ kind: "part", part: part.index, fault: { improper: true } }],
        signs: {},
      },
    ];
  }
  const places: Place[] = [];
  const bits = Array.from({ length: count }, (_, bit) => bit);
  const add = (detail: string, share: number, fault: { lostBits: number[]; someCells?: boolean }): void => {
    places.push({ detail, share, changes: [{ kind: "part", part: part.index, fault }], signs: {} });
  };
  if (mode === "wrong-content") {
    add("", 0.5, { lostBits: [-1] });
    add("some cells", 0.5, { lostBits: [-1], someCells: true });
    return places;
  }
  for (const bit of bits) {
    const name = count === 1 ? "" : `bit ${bit}`;
    add(name, 0.5 / count, { lostBits: [bit] });
    add(count === 1 ? "some cells" : `${name}, some cells`, 0.5 / count, {
      lostBits: [bit],
      someCells: true,
    });
  }
  return places;
}
