import type { FailureModeId } from "../../board/failure-mode.js";
import type { CircuitPart } from "../settle/circuit.js";
import { levelAt, planeShift } from "../settle/planes.js";
import { Level, partTimeFlag, wrongFlag } from "../settle/value.js";
import { type Change, cutOff } from "./change.js";
import type { PassiveSigns } from "./fault.js";
import { evenly, type Place, type PlaceFinder } from "./place.js";

/**
 * Places of a failure mode on a part whose behaviour follows from its wiring. A mode that changes nothing anyone
 * could notice (one decoupler of many gone open) gives no place: such a fault needs no finding.
 */
export function placesOnPassive(finder: PlaceFinder, part: CircuitPart, mode: FailureModeId): Place[] {
  const nets = finder.nets(part);
  const family = part.type.family;
  switch (mode) {
    case "short":
      return part.type.behaviour.kind === "supply"
        ? forceRails(finder, part, Level.railAbsent, { current: "high" })
        : shorted(finder, nets);
    case "contact-short":
      return nets.length === 2 ? shorted(finder, nets) : touchingContacts(finder, part);
    case "stuck-key":
      return family === "keyboard" ? stuckKeys(finder, part) : [];
    case "open":
      return family.startsWith("capacitor")
        ? [...opened(finder, part), ...driedOut(finder, nets), ...onReset(finder, nets, "short")]
        : opened(finder, part);
    case "no-output":
    case "dead-key-line":
    case "contact-open":
    case "contact-intermittent":
    case "improper-output":
      return family === "connector" || family === "keyboard"
        ? perContact(finder, part)
        : opened(finder, part);
    case "dried-out":
      return [...driedOut(finder, nets), ...onReset(finder, nets, "short")];
    case "leaks":
      return family === "capacitor-aluminium"
        ? [...driedOut(finder, nets), ...onReset(finder, nets, "for good")]
        : [];
    case "parameter-change":
      return drifted(finder, part);
    case "no-oscillation":
      return forceDrivers(finder, part, Level.steady | wrongFlag);
    case "off-frequency":
      return forceDrivers(finder, part, Level.pulsing | wrongFlag);
    case "output-low":
      return forceRails(finder, part, Level.railLow);
    case "output-high":
      return forceRails(finder, part, Level.railHigh);
    case "rippled":
      return forceRails(finder, part, Level.railRippled);
    default:
      return [];
  }
}

function one(changes: readonly Change[], signs: PassiveSigns, detail = ""): Place[] {
  return changes.length === 0 ? [] : [{ detail, share: 1, changes, signs }];
}

function shorted(finder: PlaceFinder, nets: readonly number[]): Place[] {
  const [first, second] = nets;
  if (
    nets.length !== 2 ||
    first === undefined ||
    second === undefined ||
    first < 0 ||
    second < 0 ||
    first === second
  )
    return [];
  const duties = [finder.dutyOf(first), finder.dutyOf(second)];
  const other = duties[0] === 2 ? second : duties[1] === 2 ? first : -1;
  if (other >= 0) {
    const rail = finder.dutyOf(other) === 1;
    const value = (rail ? Level.railAbsent : Level.low) | wrongFlag;
    const signs: PassiveSigns = {
      shortedNet: other,
      deviceReads: "short",
      // The current the supply can give turns to heat in the shorted part.
      ...(rail ? { current: "high" as const, hot: true } : {}),
    };
    return one([{ kind: "net", net: other, value }], signs);
  }
  if (duties[0] === 1 && duties[1] === 1) return [];
  return one([{ kind: "bridge", first, second }], { bridged: [first, second], deviceReads: "short" });
}

/** Neighbouring contacts of a connector or keyboard that touch. */
function touchingContacts(finder: PlaceFinder, part: CircuitPart): Place[] {
  const places = part.pins.flatMap((pin, i): Omit<Place, "share">[] => {
    const next = part.pins[i + 1] ?? -1;
    const [first, second] = [finder.netOf(pin), finder.netOf(next)];
    if (first === second || finder.dutyOf(first) !== 0 || finder.dutyOf(second) !== 0) return [];
    return [
      {
        detail: `${finder.pinNumber(pin)}-${finder.pinNumber(next)}`,
        changes: [{ kind: "bridge", first, second }],
        signs: { bridged: [first, second] },
      },
    ];
  });
  return evenly(places, (place) => place);
}

/** Each key that counts as held down: a line the machine drives and one it senses joined for good. */
function stuckKeys(finder: PlaceFinder, part: CircuitPart): Place[] {
  const { wiring } = finder.circuit;
  const own = new Set(finder.nets(part));
  const { drive = [], sense = [] } = wiring.board.chain.keys ?? {};
  const on = (names: readonly string[]): number[] =>
    names.flatMap((name) => wiring.netIndex.get(name) ?? []).filter((net) => own.has(net));
  const keys = on(drive).flatMap((first) => on(sense).map((second) => [first, second] as const));
  return evenly(keys, ([first, second]) => ({
    detail: `${wiring.nets[first]} and ${wiring.nets[second]}`,
    changes: [{ kind: "bridge", first, second }],
    signs: { bridged: [first, second] },
  }));
}

/** The capacitor that makes the reset at power-on: without its value there is none, leaking it never ends. */
function onReset(finder: PlaceFinder, nets: readonly number[], reset: "short" | "for good"): Place[] {
  const { engine, processor } = finder.circuit;
  const root = nets.find((net) => processor?.reset?.roots.includes(net));
  if (root === undefined || !nets.some((net) => finder.dutyOf(net) !== 0)) return [];
  const resting = levelAt(engine.healthy, root << planeShift, 0);
  const active = resting === Level.low ? Level.high : Level.low;
  const value = (reset === "short" ? resting : active) | wrongFlag;
  return one([{ kind: "net", net: root, value }], {});
}

/** A part that no longer conducts: it passes nothing on, pulls nothing, feeds nothing. */
function opened(finder: PlaceFinder, part: CircuitPart): Place[] {
  const { engine, wiring } = finder.circuit;
  const changes: Change[] = finder.drivers(part).map((driver) => {
    const { net = -1, mixes = false } = engine.drivers[driver] ?? {};
    const rail = finder.dutyOf(net) === 1;
    // What one of several no longer adds leaves its net to the others, and what they make of it wrong.
    const value = mixes ? Level.steady | partTimeFlag : rail ? Level.railAbsent : Level.floating;
    return { kind: "driver", driver, value: value | wrongFlag };
  });
  for (const [p, pull] of engine.pulls.entries())
    if (pull.part === part.index) changes.push({ kind: "pull", pull: p });
  if (part.type.family === "resistor-network") {
    return evenly(changes, (change) => ({
      detail: change.kind === "pull" ? (wiring.nets[engine.pulls[change.pull]?.net ?? -1] ?? "") : "",
      changes: [change],
      signs: { deviceReads: "open" },
    }));
  }
  const family = part.type.family;
  if (changes.length === 0 && family === "resistor") changes.push(...stoppedCrystals(finder, part));
  if (changes.length === 0 && (family === "led" || family === "loudspeaker")) {
    return one([{ kind: "part", part: part.index, fault: { silent: true } }], { deviceReads: "open" });
  }
  return one(changes, {
    deviceReads: "open",
    ...(feedsRail(finder, part) ? { current: "low" as const } : {}),
  });
}

/** A resistor that biases the amplifier of a crystal: without it the crystal does not start. */
function stoppedCrystals(finder: PlaceFinder, part: CircuitPart): Change[] {
  const own = new Set(finder.nets(part).filter((net) => finder.dutyOf(net) === 0));
  const crystals = finder.circuit.links.filter(
    (link) => link.kind === "crystal" && (own.has(link.from) || own.has(link.to)),
  );
  const parts = new Set(crystals.map((link) => link.part));
  return finder.circuit.engine.drivers.flatMap((driver, d) =>
    parts.has(driver.part) ? [{ kind: "driver" as const, driver: d, value: Level.steady | wrongFlag }] : [],
  );
}

function feedsRail(finder: PlaceFinder, part: CircuitPart): boolean {
  return finder
    .drivers(part)
    .some((driver) => finder.dutyOf(finder.circuit.engine.drivers[driver]?.net ?? -1) === 1);
}

/** Each contact of a connector or keyboard: what came in no longer comes, what goes out no longer arrives. */
function perContact(finder: PlaceFinder, part: CircuitPart): Place[] {
  const { engine } = finder.circuit;
  const places = part.pins.flatMap((pin): Omit<Place, "share">[] => {
    const net = finder.netOf(pin);
    const duty = finder.dutyOf(net);
    const detail = finder.pinNumber(pin);
    if (net < 0 || duty === 2) return [];
    const driver = finder.driverAt(pin);
    if (duty === 1) {
      // Only a rail that comes in through this connector suffers; one that merely passes by does not.
      const feed = engine.driversOfNet[net] ?? [];
      const outside = feed.every((d) => {
        const feeder = engine.drivers[d]?.part ?? -1;
        return feeder < 0 || finder.circuit.wiring.parts[feeder]?.type.family === "outside-supply";
      });
      if (!outside || part.part.section !== "supply") return [];
      return [
        {
          detail,
          changes: [{ kind: "net", net, value: Level.railAbsent | wrongFlag }],
          signs: { cutPin: pin, current: "low" },
        },
      ];
    }
    if (driver !== undefined)
      return [{ detail, changes: [{ kind: "driver", driver, value: cutOff }], signs: { cutPin: pin } }];
    return [{ detail, changes: [{ kind: "pin", pin, value: cutOff }], signs: { cutPin: pin } }];
  });
  return evenly(places, (place) => place);
}

/** A reservoir capacitor that no longer holds charge lets its raw rail sag between the peaks. */
function driedOut(finder: PlaceFinder, nets: readonly number[]): Place[] {
  const raw = nets.find((net) => isRawRail(finder, net));
  if (raw === undefined || raw < 0) return [];
  return one([{ kind: "net", net: raw, value: Level.railRippled | wrongFlag }], {});
}

function isRawRail(finder: PlaceFinder, net: number): boolean {
  const name = finder.circuit.wiring.nets[net];
  return finder.circuit.wiring.board.rails.some((rail) => rail.net === name && rail.raw === true);
}

/**
 * A value out of its tolerance spoils what depends on it: mixtures, delays, base currents. In series with a line that
 * only digital inputs read it makes no difference.
 */
function drifted(finder: PlaceFinder, part: CircuitPart): Place[] {
  const family = part.type.family;
  if (family !== "resistor" && family !== "resistor-variable" && family !== "transistor") return [];
  const { drivers } = finder.circuit.engine;
  const places = finder.drivers(part).flatMap((driver): Change[] => {
    const { net = -1, mixes = false } = drivers[driver] ?? {};
    if (finder.dutyOf(net) !== 0 || (family !== "transistor" && isDigital(finder, net))) return [];
    return [{ kind: "driver", driver, value: Level.pulsing | wrongFlag | (mixes ? partTimeFlag : 0) }];
  });
  return one(places, {});
}

const digital = new Set(["logic", "memory", "processor", "peripheral"]);

/** True if only digital inputs, and at least one, listen to a net. */
function isDigital(finder: PlaceFinder, net: number): boolean {
  const { wiring } = finder.circuit;
  const listening = (wiring.netPins[net] ?? []).filter((pin) => {
    const kind = wiring.pins[pin]?.kind;
    return kind === "in" || kind === "bidir";
  });
  const kindOf = (pin: number): string =>
    wiring.parts[wiring.pins[pin]?.part ?? -1]?.type.behaviour.kind ?? "";
  return listening.length > 0 && listening.every((pin) => digital.has(kindOf(pin)));
}

function forceDrivers(finder: PlaceFinder, part: CircuitPart, value: number): Place[] {
  return one(
    finder.drivers(part).map((driver) => ({ kind: "driver", driver, value })),
    {},
  );
}

/** Rails a supply part feeds, each at a level it should not have; a short blows the fuse or takes all there is. */
function forceRails(
  finder: PlaceFinder,
  part: CircuitPart,
  level: number,
  signs: PassiveSigns = {},
): Place[] {
  const { engine } = finder.circuit;
  const rails = finder.drivers(part).filter((d) => finder.dutyOf(engine.drivers[d]?.net ?? -1) === 1);
  return evenly(rails, (driver) => ({
    detail: finder.circuit.wiring.nets[engine.drivers[driver]?.net ?? -1] ?? "",
    changes: [{ kind: "driver", driver, value: level | wrongFlag }],
    signs,
  }));
}
