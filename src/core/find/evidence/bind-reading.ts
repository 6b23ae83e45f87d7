import type { ReadingEntry } from "../case/case.js";
import { preferredPlace } from "../case/since.js";
import type { FaultSpace } from "../reason/space.js";
import { bindMeter, bindRailVolts, bindRipple, tellsRipple } from "./bind-meter.js";
import { comparisonLook, type Look, levelLook } from "./look.js";
import { heatLook, isRail, programLook, testerLook, visualLook } from "./looks-passive.js";
import { heatSweepLook, nothingFound, visualSweepLook } from "./looks-sweep.js";
import { isMisplaced, type Place, placeNamed } from "./place-name.js";
import {
  type BoundReading,
  certain,
  missingValue,
  netOf,
  onPart,
  problem,
  type ReadingResult,
  unknownWord,
  words,
  wrongPlace,
} from "./reading-words.js";

const hotWords = new Set(["hot", "hotter", "hotter than its twins", "very hot"]);
const coolWords = new Set(["normal", "warm", "cool", "cold", "ok"]);

/** Turns a reading of the log into likelihoods, or says in one sentence why it cannot be one. */
export function bindReading(space: FaultSpace, entry: ReadingEntry): ReadingResult {
  const place = placeNamed(space.circuit, entry.at, preferredPlace(entry));
  if (isMisplaced(place)) return problem("unknown-place", place.message, place.hint);
  switch (entry.with) {
    case "multimeter":
    case "bench-supply":
      return bindMeter(space, entry, place);
    case "logic-probe":
    case "oscilloscope":
      return bindProbe(space, entry, place, entry.with);
    case "finger":
    case "thermometer":
      if (place.kind === "board") return sweep(heatSweepLook(space), entry, ["normal", "none"], true);
      return bindHeat(space, entry, place);
    case "eye":
      if (place.kind === "board") return sweep(visualSweepLook(space), entry, ["clean", "none"], false);
      return onPart(entry, place, (part) =>
        words(
          visualLook(space, part),
          entry,
          { clean: ["clean", "ok"], damage: ["damage", "damaged", "burnt", "cracked", "corroded"] },
          false,
        ),
      );
    case "twin": {
      const at = netOf(place);
      if (at === undefined) return wrongPlace(entry, "a pin or a net");
      return words(
        comparisonLook(space, at.net, at.pin),
        entry,
        { same: ["same"], different: ["different"] },
        true,
      );
    }
    // A chip programmer that reads a chip and compares it with a known image tests it as a chip tester does.
    case "chip-tester":
    case "chip-programmer":
      return onPart(entry, place, (part) =>
        words(
          testerLook(space, part),
          entry,
          { pass: ["pass", "passes", "good"], fail: ["fail", "fails", "bad"] },
          false,
        ),
      );
    case "test-program":
      return onPart(entry, place, (part) =>
        words(
          programLook(space, part),
          entry,
          { named: ["named", "fail", "bad"], "not-named": ["not-named", "pass", "good"] },
          true,
        ),
      );
  }
}

/** A sweep over the whole board names one part, or nothing. */
function sweep(
  look: Look,
  entry: ReadingEntry,
  synonyms: readonly string[],
  powered: boolean,
): ReadingResult {
  const shown = entry.shows?.trim();
  if (shown === undefined) return missingValue(entry, [nothingFound, "a part"]);
  const named = look.outcomes.find((outcome) => outcome.toLowerCase() === shown.toLowerCase());
  const outcome = named ?? (synonyms.includes(shown.toLowerCase()) ? nothingFound : undefined);
  if (outcome === undefined) return unknownWord(entry, look.outcomes);
  return certain(look, outcome, powered, `whole board: ${outcome} (${entry.with})`);
}

function bindProbe(
  space: FaultSpace,
  entry: ReadingEntry,
  place: Place,
  instrument: "logic-probe" | "oscilloscope",
): ReadingResult {
  const at = netOf(place);
  if (at === undefined) return wrongPlace(entry, "a pin or a net");
  if (instrument === "oscilloscope" && tellsRipple(entry)) return bindRipple(space, entry, at.net, at.pin);
  if (instrument === "oscilloscope" && entry.volts !== undefined && isRail(space, at.net))
    return bindRailVolts(space, entry, at.net, at.pin);
  const rateHertz = at.net < 0 ? 0 : (space.rates[at.net] as number);
  const rateKnown = rateHertz > 0;
  const look = levelLook(space, instrument, at.net, at.pin, rateKnown);
  if (entry.shows === undefined) {
    if (entry.hertz === undefined) return missingValue(entry, look.outcomes);
    if (entry.hertz === 0) return stillLine(look, entry);
  }
  const said = entry.shows?.trim().toLowerCase();
  const shown =
    entry.hertz !== undefined && (said === undefined || said === "pulsing")
      ? rateWord(entry.hertz, look.outcomes.includes("wrong-rate") ? rateHertz : 0)
      : (said ?? "");
  const synonyms: Record<string, string> = {
    low: "low",
    high: "high",
    toggling: "pulsing",
    none: "floating",
    neither: "floating",
    open: "floating",
    fighting: "between-levels",
    half: "between-levels",
  };
  const outcome = look.outcomes.includes(shown) ? shown : synonyms[shown];
  if (outcome === undefined || !look.outcomes.includes(outcome)) return unknownWord(entry, look.outcomes);
  const rate = entry.hertz === undefined ? "" : ` ${entry.hertz} Hz`;
  return certain(look, outcome, true, `${entry.at} ${shown}${rate} (${instrument})`);
}

/** A measured rate in words: right within 3 % of the healthy rate, where one is known and the instrument tells rates. */
function rateWord(hertz: number, healthyHertz: number): string {
  return healthyHertz > 0 && Math.abs(hertz / healthyHertz - 1) > 0.03 ? "wrong-rate" : "pulsing";
}

/** A counter that counts nothing: the line stands still, low or high alike. */
function stillLine(look: Look, entry: ReadingEntry): BoundReading {
  const seen = Float64Array.from(look.outcomes, (outcome) =>
    outcome === "low" || outcome === "high" ? 0.5 : 0,
  );
  return { look, seen, powered: true, label: `${entry.at} 0 Hz (${entry.with})` };
}

function bindHeat(space: FaultSpace, entry: ReadingEntry, place: Place): ReadingResult {
  if (place.kind !== "part") return wrongPlace(entry, "a part");
  const look = heatLook(space, place.part);
  const shown = entry.shows?.trim().toLowerCase();
  if (shown === undefined && entry.degreesCelsius === undefined)
    return missingValue(entry, ["normal", "hot"]);
  // 75 °C at the top of a plastic package is more than any healthy one of these chips reaches (common practice, no source).
  const hot =
    entry.degreesCelsius !== undefined
      ? entry.degreesCelsius >= 75
      : shown !== undefined && hotWords.has(shown);
  if (entry.degreesCelsius === undefined && !hot && !(shown !== undefined && coolWords.has(shown)))
    return unknownWord(entry, ["normal", "hot"]);
  const value = entry.degreesCelsius === undefined ? (shown ?? "") : `${entry.degreesCelsius} °C`;
  return certain(look, hot ? "hot" : "normal", true, `${entry.at} ${value} (${entry.with})`);
}
