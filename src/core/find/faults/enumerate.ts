import type { FailureModeId, Manifestation } from "../../board/failure-mode.js";
import type { Circuit } from "../settle/build.js";
import type { CircuitPart } from "../settle/circuit.js";
import { Level, wrongFlag } from "../settle/value.js";
import { type Change, changesKey, cutOff } from "./change.js";
import type { Effect, Fault, FaultSite, PassiveSigns } from "./fault.js";
import { neighbouringPins } from "./neighbours.js";
import { type Place, PlaceFinder, placesOnChip } from "./place.js";
import { placesOnPassive } from "./place-passive.js";

/** Prior odds of one failure mode of one part, as a whole, by how it shows over time. */
export interface ModeOdds {
  readonly mode: FailureModeId;
  readonly odds: Readonly<Record<Manifestation, number>>;
}

/** Where the prior odds come from. */
export interface OddsSource {
  /** Failure modes of a part. */
  ofPart(part: CircuitPart): readonly ModeOdds[];
  /** One pin of a part in its socket; empty if the part is not socketed. */
  ofSocketPin(part: CircuitPart): readonly ModeOdds[];
  /** The track or joint at one pin of a part. */
  ofJoint(part: CircuitPart): readonly ModeOdds[];
  /** Two neighbouring pins of a part touching. */
  ofBridge(part: CircuitPart): readonly ModeOdds[];
}

export interface FaultList {
  /** Effect 0 is health: no changes. */
  readonly effects: readonly Effect[];
  readonly faults: readonly Fault[];
}

/**
 * Every single fault of a board: each failure mode of each part at each place it can strike, each socket contact,
 * each joint, each pair of neighbouring pins; permanent, warm-only and intermittent. Faults that change nothing
 * anyone could notice are left out. Order: parts as on the board, then sites, modes, places.
 */
export function enumerateFaults(circuit: Circuit, odds: OddsSource): FaultList {
  const finder = new PlaceFinder(circuit);
  const gatherer = new Gatherer(circuit);
  for (const part of circuit.wiring.parts) {
    const plain = part.type.behaviour.kind === "plain" || part.type.behaviour.kind === "supply";
    for (const { mode, odds: byTime } of odds.ofPart(part)) {
      const places = plain ? placesOnPassive(finder, part, mode) : placesOnChip(finder, part, mode);
      for (const place of places) gatherer.add(part.index, "part", mode, place, byTime);
    }
    if (plain && part.type.pins === "as-board") continue;
    for (const { mode, odds: byTime } of odds.ofSocketPin(part))
      addContacts(gatherer, finder, part, "socket", mode, byTime);
    for (const { mode, odds: byTime } of odds.ofJoint(part))
      addContacts(gatherer, finder, part, "track", mode, byTime);
    for (const { mode, odds: byTime } of odds.ofBridge(part))
      addBridges(gatherer, finder, part, mode, byTime);
  }
  return { effects: gatherer.effects, faults: gatherer.faults };
}

class Gatherer {
  readonly effects: Effect[] = [{ key: "", changes: [], parts: [] }];
  readonly faults: Fault[] = [];
  private readonly circuit: Circuit;
  private readonly effectOfKey = new Map<string, number>([["", 0]]);

  constructor(circuit: Circuit) {
    this.circuit = circuit;
  }

  add(
    part: number,
    site: FaultSite,
    mode: FailureModeId,
    place: Place,
    odds: Readonly<Record<Manifestation, number>>,
  ): void {
    if (place.changes.length === 0) return;
    const effect = this.effectFor(place.changes);
    const ref = this.circuit.wiring.parts[part]?.part.ref ?? "?";
    for (const manifestation of ["permanent", "warm-only", "intermittent"] as const) {
      const own = odds[manifestation] * place.share;
      if (!(own > 0)) continue;
      const suffix = manifestation === "permanent" ? "" : `:${manifestation}`;
      const at = place.detail === "" ? "" : `:${place.detail}`;
      const id = `${ref}:${site === "part" ? "" : `${site}:`}${mode}${at}${suffix}`;
      this.faults.push({
        id,
        part,
        site,
        mode,
        manifestation,
        detail: place.detail,
        odds: own,
        effect,
        signs: place.signs,
      });
    }
  }

  private effectFor(changes: readonly Change[]): number {
    const key = changesKey(changes);
    const known = this.effectOfKey.get(key);
    if (known !== undefined) return known;
    const parts = new Set<number>();
    for (const change of changes) {
      if (change.kind === "part") parts.add(change.part);
      if (change.kind === "pin") parts.add(this.circuit.wiring.pins[change.pin]?.part ?? -1);
      if (change.kind === "driver") parts.add(this.circuit.engine.drivers[change.driver]?.part ?? -1);
    }
    this.effectOfKey.set(key, this.effects.length);
    this.effects.push({ key, changes, parts: [...parts] });
    return this.effects.length - 1;
  }
}

/** An interrupted contact at each connected pin: what the chip reads or drives there is cut off. */
function addContacts(
  gatherer: Gatherer,
  finder: PlaceFinder,
  part: CircuitPart,
  site: "socket" | "track",
  mode: FailureModeId,
  odds: Readonly<Record<Manifestation, number>>,
): void {
  for (const pin of part.pins) {
    const changes = contactChanges(finder, part, pin);
    if (changes.length === 0) continue;
    const signs: PassiveSigns = { cutPin: pin };
    gatherer.add(part.index, site, mode, { detail: finder.pinNumber(pin), share: 1, changes, signs }, odds);
  }
}

function contactChanges(finder: PlaceFinder, part: CircuitPart, pin: number): Change[] {
  const found = finder.circuit.wiring.pins[pin];
  const net = found?.net ?? -1;
  if (found === undefined || net < 0) return [];
  const duty = finder.dutyOf(net);
  if (found.kind === "power" && duty === 1) {
    const driver = finder.driverAt(pin);
    if (driver !== undefined) return [{ kind: "driver", driver, value: Level.railAbsent | wrongFlag }];
    return [{ kind: "pin", pin, value: Level.railAbsent | wrongFlag }];
  }
  if (found.kind === "ground") return [{ kind: "part", part: part.index, fault: { silent: true } }];
  const changes: Change[] = [];
  if (found.kind === "in" || found.kind === "bidir") changes.push({ kind: "pin", pin, value: cutOff });
  const driver = finder.driverAt(pin);
  if (driver !== undefined) changes.push({ kind: "driver", driver, value: cutOff });
  return changes;
}

/** Neighbouring pins of the package touching. */
function addBridges(
  gatherer: Gatherer,
  finder: PlaceFinder,
  part: CircuitPart,
  mode: FailureModeId,
  odds: Readonly<Record<Manifestation, number>>,
): void {
  for (const [left, right] of neighbouringPins(finder.circuit.wiring, part)) {
    const first = finder.netOf(left);
    const second = finder.netOf(right);
    const rails = [finder.dutyOf(first), finder.dutyOf(second)];
    // Two rails of the same sign tied together is a supply fault of its own; it is not modelled here.
    if (rails[0] === 1 && rails[1] === 1) continue;
    const detail = `${finder.pinNumber(left)}-${finder.pinNumber(right)}`;
    const grounded = rails.includes(2);
    const other = rails[0] === 2 ? second : first;
    const signs: PassiveSigns = grounded
      ? {
          bridged: [first, second],
          shortedNet: other,
          ...(rails.includes(1) ? { current: "high" as const } : {}),
        }
      : { bridged: [first, second] };
    const changes: Change[] = [{ kind: "bridge", first, second }];
    gatherer.add(part.index, "bridge", mode, { detail, share: 1, changes, signs }, odds);
  }
}
