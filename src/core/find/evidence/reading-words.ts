import { nearestName } from "../../base/nearest.js";
import type { ReadingEntry } from "../case/case.js";
import type { BindProblem } from "./evidence.js";
import type { Look } from "./look.js";
import type { Place } from "./place-name.js";

/** A reading matched to a look, with how much each of its outcomes fits what was seen (sums to 1). */
export interface BoundReading {
  readonly look: Look;
  readonly seen: Float64Array;
  readonly powered: boolean;
  readonly label: string;
}

/** A reading as evidence, or why it cannot be one. */
export type ReadingResult = BoundReading | { readonly problem: BindProblem };

/** A refusal in one sentence. */
export function problem(code: string, message: string, hint?: string): ReadingResult {
  return { problem: hint === undefined ? { code, message } : { code, message, hint } };
}

/** The instrument needs another kind of place. */
export function wrongPlace(entry: ReadingEntry, wanted: string): ReadingResult {
  return problem("wrong-place", `a reading with ${entry.with} needs ${wanted}, but '${entry.at}' is none`);
}

/** Net and pin of a place on a line: net -1 for an open leg, pin -1 for the net as a whole; else undefined. */
export function netOf(place: Place): { net: number; pin: number } | undefined {
  if (place.kind === "net") return { net: place.net, pin: -1 };
  if (place.kind === "pin") return { net: place.net, pin: place.pin };
  return undefined;
}

/** Binds a reading of a whole part. */
export function onPart(
  entry: ReadingEntry,
  place: Place,
  bind: (part: number) => ReadingResult,
): ReadingResult {
  return place.kind === "part" ? bind(place.part) : wrongPlace(entry, "a part");
}

/** Matches the words of `shows` with an outcome of the look: the outcome's name or one of its synonyms. */
export function words(
  look: Look,
  entry: ReadingEntry,
  synonyms: Readonly<Record<string, readonly string[]>>,
  powered: boolean,
): ReadingResult {
  const shown = entry.shows?.trim().toLowerCase();
  if (shown === undefined) return missingValue(entry, Object.keys(synonyms));
  const outcome = Object.keys(synonyms).find((key) => key === shown || synonyms[key]?.includes(shown));
  if (outcome === undefined) return unknownWord(entry, look.outcomes);
  return certain(look, outcome, powered, `${entry.at} ${shown} (${entry.with})`);
}

/** The reading holds no value. */
export function missingValue(entry: ReadingEntry, known: readonly string[]): ReadingResult {
  return problem(
    "missing-value",
    `the reading at ${entry.at} says nothing of what it shows`,
    `Give one of: ${known.join(", ")}.`,
  );
}

/** A word that is no outcome of the reading. */
export function unknownWord(entry: ReadingEntry, known: readonly string[]): ReadingResult {
  const near = nearestName(entry.shows ?? "", known);
  const hint = near === undefined ? `Expected one of: ${known.join(", ")}.` : `Did you mean ${near}?`;
  return problem(
    "unknown-outcome",
    `'${entry.shows ?? ""}' is nothing that a reading with ${entry.with} at ${entry.at} can show`,
    hint,
  );
}

/** A reading with one outcome. */
export function certain(look: Look, outcome: string, powered: boolean, label: string): BoundReading {
  const seen = new Float64Array(look.outcomes.length);
  seen[look.outcomes.indexOf(outcome)] = 1;
  return { look, seen, powered, label };
}
