import type { Manifestation } from "../../board/failure-mode.js";
import type { BoardPriors, StructurePrior } from "../priors/board-priors.js";
import type { FailureData } from "../priors/failure-data.js";
import { type ManifestationShare, manifestationShares } from "../priors/mode-shares.js";
import { modeOdds } from "../priors/prior.js";
import type { Arising } from "../reason/history.js";
import type { CircuitPart } from "../settle/circuit.js";
import type { ModeOdds, OddsSource } from "./enumerate.js";
import type { Fault } from "./fault.js";

function byTime(rate: number, shares: readonly ManifestationShare[]): ModeOdds["odds"] {
  const of = (name: Manifestation): number => rate * (shares.find((s) => s.kind === name)?.share ?? 0);
  return { permanent: of("permanent"), "warm-only": of("warm-only"), intermittent: of("intermittent") };
}

/** Turns the priors of a board into odds for each place a fault can be at. Only ratios matter. */
export function oddsFromPriors(data: FailureData, priors: BoardPriors): OddsSource {
  const parts = new Map(priors.parts.map((prior) => [prior.ref, prior]));
  const structures = new Map<string, StructurePrior>();
  for (const prior of priors.structures) structures.set(`${prior.structure}/${prior.ref}`, prior);
  const own = (part: CircuitPart): ModeOdds[] => {
    const prior = parts.get(part.part.ref);
    const modes = prior === undefined ? [] : modeOdds(data, prior);
    return modes.map((row) => ({
      mode: row.mode,
      odds: byTime(row.ratePerMillionHours, row.manifestations),
    }));
  };
  const structure = (part: CircuitPart, name: "socket" | "track" | "bridge" | "wrong-part"): ModeOdds[] => {
    const prior = structures.get(`${name}/${part.part.ref}`);
    if (prior === undefined) return [];
    if (name === "socket") {
      return modeOdds(data, prior).map((row) => ({
        mode: row.mode,
        odds: byTime(row.ratePerMillionHours, row.manifestations),
      }));
    }
    const mode = name === "track" ? "track-open" : name;
    const factor = prior.eventModes.get(mode) ?? 1;
    return [{ mode, odds: byTime(prior.total * factor, manifestationShares(data["mode-shares"], mode)) }];
  };
  return {
    ofPart: (part) => [...own(part), ...structure(part, "wrong-part")],
    ofSocketPin: (part) => structure(part, "socket"),
    ofJoint: (part) => structure(part, "track"),
    ofBridge: (part) => structure(part, "bridge"),
  };
}

/** A fault that logged own work may have made: at which part, in which mode, since when. */
export interface TouchOdds {
  readonly ref: string;
  readonly mode: Fault["mode"];
  readonly probability: number;
  readonly epoch: number;
}

/** Spreads each touch evenly over the faults of its part and mode; returns the odds by fault index. */
export function spreadTouches(
  faults: readonly Fault[],
  refOf: (part: number) => string,
  touches: readonly TouchOdds[],
): ReadonlyMap<number, readonly Arising[]> {
  const found = new Map<number, Arising[]>();
  const byPlace = new Map<string, number[]>();
  for (const [f, fault] of faults.entries()) {
    if (fault.manifestation !== "permanent") continue;
    const key = `${refOf(fault.part)}/${fault.mode}`;
    const list = byPlace.get(key);
    if (list === undefined) byPlace.set(key, [f]);
    else list.push(f);
  }
  for (const touch of touches) {
    const places = byPlace.get(`${touch.ref}/${touch.mode}`) ?? [];
    for (const f of places) {
      const odds = touch.probability / (1 - Math.min(0.99, touch.probability)) / places.length;
      found.set(f, [...(found.get(f) ?? []), { epoch: touch.epoch, odds }]);
    }
  }
  return found;
}
