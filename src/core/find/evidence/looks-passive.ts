import type { Fault } from "../faults/fault.js";
import { neighbouringPins } from "../faults/neighbours.js";
import type { FaultSpace } from "../reason/space.js";
import { netCode } from "../reason/space.js";
import { isWrong, Level, levelMask } from "../settle/value.js";
import { type Look, signLook } from "./look.js";

/**
 * Resistance of a net to ground with the power off; a short behind a link or a coil is seen as well, and one behind a
 * fuse that it has not blown.
 */
export function shortLook(space: FaultSpace, net: number): Look {
  const { resistanceShortSeen: seen, resistanceShortClaimed: claimed } = space.model.errors;
  const joined = joinedNets(space, net, true);
  const unfused = joinedNets(space, net, false);
  const shorted = (fault: Fault): boolean => {
    const own = shortedRail(fault);
    return own >= 0 && (blownFuses(space, fault).length === 0 ? joined : unfused).has(own);
  };
  return signLook(["normal", "short"], { seen, claimed }, shorted);
}

/** Net that a fault shorts to ground, or -1. */
function shortedRail({ signs: { shortedNet, bridged } }: Fault): number {
  if (shortedNet !== undefined) return shortedNet;
  // Net 0 is ground.
  return bridged?.includes(0) === true ? Math.max(...bridged) : -1;
}

/** Fuses, as parts, that a fault has blown: by a short of what they feed. */
function blownFuses({ circuit }: FaultSpace, fault: Fault): readonly number[] {
  return circuit.fusesInFront[shortedRail(fault)] ?? [];
}

/** The net and all that links and coils, and fuses too if they count, join to it; a switch is off while the power is. */
export function joinedNets(
  { circuit: { links, wiring } }: FaultSpace,
  net: number,
  throughFuses: boolean,
): ReadonlySet<number> {
  const joining = links.filter(({ part, kind }) => {
    const behaviour = wiring.parts[part]?.type.behaviour;
    if (kind !== "contact" || behaviour?.kind !== "plain" || behaviour.as === "switch") return false;
    return throughFuses || behaviour.as !== "fuse";
  });
  const joined = new Set([net]);
  for (let size = 0; size < joined.size; ) {
    size = joined.size;
    for (const { from, to } of joining) {
      if (joined.has(from)) joined.add(to);
      else if (joined.has(to)) joined.add(from);
    }
  }
  return joined;
}

/** Continuity between two pins: they should ring if they share a net, and stay silent if they do not. */
export function continuityLook(space: FaultSpace, first: number, second: number): Look {
  const { continuityBreakSeen: seen, continuityBreakClaimed: claimed } = space.model.errors;
  const { pins } = space.circuit.wiring;
  const nets = [pins[first]?.net ?? -1, pins[second]?.net ?? -1] as const;
  if (nets[0] === nets[1] && nets[0] >= 0) {
    const broken = (fault: Fault): boolean => fault.signs.cutPin === first || fault.signs.cutPin === second;
    return signLook(["rings", "open"], { seen, claimed }, broken);
  }
  const joined = (fault: Fault): boolean => {
    const bridged = fault.signs.bridged;
    return bridged?.includes(nets[0]) === true && bridged.includes(nets[1]);
  };
  return signLook(["open", "rings"], { seen, claimed }, joined);
}

/**
 * Each pin of a part against the one beside it, with the power off: a bridge at this part rings there, and so does one
 * between the same two nets anywhere else. Outcomes: `clear`, `short`.
 */
export function neighboursLook(space: FaultSpace, part: number): Look {
  const { continuityBreakSeen: seen, continuityBreakClaimed: claimed } = space.model.errors;
  return signLook(["clear", "short"], { seen, claimed }, neighboursJoined(space, part));
}

/** Whether a fault joins two nets that stand side by side at a part. */
export function neighboursJoined(space: FaultSpace, part: number): (fault: Fault) => boolean {
  const { wiring } = space.circuit;
  const found = wiring.parts[part];
  const key = (a: number, b: number): number => Math.min(a, b) * wiring.nets.length + Math.max(a, b);
  const pairs = new Set(
    (found === undefined ? [] : neighbouringPins(wiring, found)).map(([first, second]) =>
      key(wiring.pins[first]?.net ?? -1, wiring.pins[second]?.net ?? -1),
    ),
  );
  return ({ signs: { bridged, shortedNet } }) =>
    (bridged !== undefined && pairs.has(key(...bridged))) ||
    // Net 0 is ground.
    (shortedNet !== undefined && pairs.has(key(0, shortedNet)));
}

/**
 * A two-terminal part measured with the power off: resistor, capacitor, diode, fuse, switch, coil. A fuse reads open as
 * well where a short has blown it. In circuit whatever
 * shorts the line it leads to ground reads as a short of its own; with a leg lifted only the part itself counts.
 */
export function deviceLook(space: FaultSpace, part: number, outOfCircuit: boolean): Look {
  const { deviceFaultSeen: seen, deviceFaultClaimed: claimed } = space.model.errors;
  const { wiring } = space.circuit;
  const nets = wiring.parts[part]?.pins.map((pin) => wiring.pins[pin]?.net ?? -1) ?? [];
  const toGround = nets.length === 2 && nets.some((net) => wiring.netDuty[net] === 2);
  const code = (fault: Fault): number => {
    const own = fault.part === part && fault.site === "part";
    if (own && fault.signs.deviceReads === "open") return 1;
    if (own && fault.signs.deviceReads === "short") return 2;
    if (blownFuses(space, fault).includes(part)) return 1;
    const parallel =
      toGround && fault.signs.shortedNet !== undefined && nets.includes(fault.signs.shortedNet);
    return parallel && !outOfCircuit ? 2 : 0;
  };
  const small = (1 - seen) / 2;
  return {
    outcomes: ["normal", "open", "short"],
    codeCount: 3,
    likelihood: Float64Array.of(
      ...[1 - claimed, claimed / 2, claimed / 2],
      ...[small, seen, small],
      ...[small, small, seen],
    ),
    codeOf: (_, faults) => Math.max(0, ...faults.map(code)),
  };
}

/** A part felt or measured for heat against its twins. */
export function heatLook(space: FaultSpace, part: number): Look {
  const { hotSeen: seen, hotClaimed: claimed } = space.model.errors;
  return signLook(["normal", "hot"], { seen, claimed }, (fault) => runsHot(space, fault, part));
}

/** True if the fault makes the part hot. */
export function runsHot(space: FaultSpace, fault: Fault, part: number): boolean {
  // Behind a blown fuse nothing gets hot any more.
  if (blownFuses(space, fault).length > 0) return false;
  if (fault.part === part && fault.signs.hot === true) return true;
  // A regulator works against a short on what it feeds.
  const family = space.circuit.wiring.parts[part]?.type.family;
  if (family !== "regulator" || fault.signs.current !== "high") return false;
  const { shortedNet } = fault.signs;
  if (shortedNet === undefined) return false;
  const joined = joinedNets(space, shortedNet, true);
  const { parts, pins } = space.circuit.wiring;
  return parts[part]?.pins.some((pin) => joined.has(pins[pin]?.net ?? -1)) ?? false;
}

/** Current drawn from the supply. */
export function currentLook(space: FaultSpace): Look {
  const { currentHighSeen, currentLowSeen, currentClaimed } = space.model.errors;
  const claimed = currentClaimed / 2;
  const code = (fault: Fault): number => {
    if (fault.signs.current === undefined) return 0;
    return fault.signs.current === "low" || blownFuses(space, fault).length > 0 ? 1 : 2;
  };
  return {
    outcomes: ["normal", "low", "high"],
    codeCount: 3,
    likelihood: Float64Array.of(
      ...[1 - currentClaimed, claimed, claimed],
      ...[1 - currentLowSeen - claimed, currentLowSeen, claimed],
      ...[1 - currentHighSeen - claimed, claimed, currentHighSeen],
    ),
    codeOf: (_, faults) => Math.max(0, ...faults.map(code)),
  };
}

/** Looking closely at a part: cracked joints, bridges, green legs, swollen cans. */
export function visualLook(space: FaultSpace, part: number): Look {
  const { visualSeen: seen, visualClaimed: claimed } = space.model.errors;
  return signLook(
    ["clean", "damage"],
    { seen, claimed },
    (fault) => fault.part === part && showsDamage(fault),
  );
}

/** True if a fault is of a kind that can be seen. */
export function showsDamage(fault: Fault): boolean {
  return (
    fault.site !== "part" || ["leaks", "short", "contact-open", "contact-intermittent"].includes(fault.mode)
  );
}

/** A chip tester's verdict on a part taken out. */
export function testerLook(space: FaultSpace, part: number): Look {
  const { testerFalsePass, testerFalseFail } = space.model.errors;
  return signLook(
    ["pass", "fail"],
    { seen: 1 - testerFalsePass, claimed: testerFalseFail },
    (fault) => fault.part === part && fault.site === "part",
  );
}

/** A test program's verdict on a part: it names the part that receives bad data as readily as the one that makes it. */
export function programLook(space: FaultSpace, part: number): Look {
  const {
    testProgramNames: names,
    testProgramNamesListener: listener,
    testProgramClaimed: claimed,
  } = space.model.errors;
  const { engine, wiring } = space.circuit;
  const outputs = engine.drivers.flatMap((driver) => (driver.part === part ? [driver.net] : []));
  const bus =
    wiring.parts[part]?.pins.map((pin) => wiring.pins[pin]?.net ?? -1).filter((net) => net >= 0) ?? [];
  return {
    outcomes: ["not-named", "named"],
    codeCount: 3,
    likelihood: Float64Array.of(1 - claimed, claimed, 1 - listener, listener, 1 - names, names),
    codeOf: (view, faults) => {
      if (faults.some((fault) => fault.part === part)) return 2;
      const touched = [...outputs, ...bus].some(
        (net) => wiring.netDuty[net] === 0 && isWrong(netCode(view, net)),
      );
      return touched ? 1 : 0;
    },
  };
}

const openModes = new Set([
  "output-open",
  "no-output",
  "supply-open",
  "input-open",
  "data-bit-lost",
  "contact-open",
]);

/** A good chip pressed on top of another: brings back what is open, not what is stuck. */
export function piggybackLook(space: FaultSpace, part: number): Look {
  const { piggybackCures: seen, piggybackClaimed: claimed } = space.model.errors;
  return signLook(
    ["unchanged", "fixed"],
    { seen, claimed },
    (fault) => fault.part === part && openModes.has(fault.mode),
  );
}

/** A line watched while a part is out of its socket or a leg is lifted: freed if that part held it. */
export function removalLook(space: FaultSpace, part: number, pin: number, net: number): Look {
  const { removalFrees: seen, removalClaimed: claimed } = space.model.errors;
  return signLook(["unchanged", "freed"], { seen, claimed }, (fault, view) => {
    if (fault.part !== part || fault.site === "track") return false;
    const held = (netCode(view, net) & levelMask) !== (netCode(space.health, net) & levelMask);
    const numbers = space.circuit.wiring.pins[pin]?.number;
    return held && (pin < 0 || fault.detail === numbers || fault.signs.cutPin === pin || fault.detail === "");
  });
}

/** Another supply in place of the machine's own. */
export function otherSupplyLook(space: FaultSpace): Look {
  const { otherSupplyCures: seen, provocationClaimed: claimed } = space.model.errors;
  const outside = new Set(["outside-supply", "transformer"]);
  return signLook(["unchanged", "fixed"], { seen, claimed }, (fault) => {
    const family = space.circuit.wiring.parts[fault.part]?.type.family;
    return family !== undefined && outside.has(family);
  });
}

/** Warming, cooling or flexing: makes marginal parts and poor contacts show themselves. */
export function provocationLook(space: FaultSpace, kind: "warmed" | "cooled" | "flexed", part: number): Look {
  const {
    heatMakesItAppear,
    coolingMakesItVanish,
    flexingShows,
    provocationClaimed: claimed,
  } = space.model.errors;
  const effect =
    kind === "warmed" ? heatMakesItAppear : kind === "cooled" ? coolingMakesItVanish : flexingShows;
  const reacts = (fault: Fault): boolean => {
    if (part >= 0 && fault.part !== part) return false;
    if (kind === "flexed") return fault.site !== "part" || fault.mode.startsWith("contact");
    return fault.manifestation !== "permanent";
  };
  return signLook(["unchanged", "changed"], { seen: effect, claimed }, reacts);
}

/** True if a reading of a net can tell rails: the net is a supply net. */
export function isRail(space: FaultSpace, net: number): boolean {
  return (
    net >= 0 && space.circuit.wiring.netDuty[net] === 1 && netCode(space.health, net) >= Level.railAbsent
  );
}
