import { nearestName } from "../../base/nearest.js";
import type { Problem } from "../../base/problem.js";
import type { ReadingEntry } from "../case/case.js";
import type { FaultSpace } from "../reason/space.js";
import { comparisonLook, type Look, levelLook, railLook } from "./look.js";
import {
  continuityLook,
  currentLook,
  deviceLook,
  heatLook,
  isRail,
  programLook,
  shortLook,
  testerLook,
  visualLook,
} from "./looks-passive.js";
import { isMisplaced, type Place, placeNamed } from "./place-name.js";

/** A reading matched to a look, with how much each of its outcomes fits what was seen (sums to 1). */
export interface BoundReading {
  readonly look: Look;
  readonly seen: Float64Array;
  readonly powered: boolean;
  readonly label: string;
}

export type ReadingResult = BoundReading | { readonly problem: Omit<Problem, "where" | "severity"> };

const hotWords = new Set(["hot", "hotter", "hotter than its twins", "very hot"]);
const coolWords = new Set(["normal", "warm", "cool", "cold", "ok"]);

/** Turns a reading of the log into likelihoods, or says in one sentence why it cannot be one. */
export function bindReading(space: FaultSpace, entry: ReadingEntry): ReadingResult {
  const place = placeNamed(space.circuit, entry.at);
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
      return bindHeat(space, entry, place);
    case "eye":
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
    case "chip-tester":
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

function problem(code: string, message: string, hint?: string): ReadingResult {
  return { problem: hint === undefined ? { code, message } : { code, message, hint } };
}

function wrongPlace(entry: ReadingEntry, wanted: string): ReadingResult {
  return problem("wrong-place", `a reading with ${entry.with} needs ${wanted}, but '${entry.at}' is none`);
}

function netOf(place: Place): { net: number; pin: number } | undefined {
  if (place.kind === "net") return { net: place.net, pin: -1 };
  if (place.kind === "pin") return { net: place.net, pin: place.pin };
  return undefined;
}

function onPart(entry: ReadingEntry, place: Place, bind: (part: number) => ReadingResult): ReadingResult {
  return place.kind === "part" ? bind(place.part) : wrongPlace(entry, "a part");
}

/** Matches the words of `shows` with an outcome of the look. */
function words(
  look: Look,
  entry: ReadingEntry,
  synonyms: Readonly<Record<string, readonly string[]>>,
  powered: boolean,
): ReadingResult {
  const shown = entry.shows?.trim().toLowerCase();
  if (shown === undefined)
    return problem(
      "missing-value",
      `the reading at ${entry.at} says nothing of what it shows`,
      `Give one of: ${Object.keys(synonyms).join(", ")}.`,
    );
  const outcome = Object.keys(synonyms).find((key) => key === shown || synonyms[key]?.includes(shown));
  if (outcome === undefined) return unknownWord(entry, look.outcomes);
  return certain(look, outcome, powered, `${entry.at} ${shown} (${entry.with})`);
}

function unknownWord(entry: ReadingEntry, known: readonly string[]): ReadingResult {
  const near = nearestName(entry.shows ?? "", known);
  const hint = near === undefined ? `Expected one of: ${known.join(", ")}.` : `Did you mean ${near}?`;
  return problem(
    "unknown-outcome",
    `'${entry.shows ?? ""}' is nothing that a reading with ${entry.with} at ${entry.at} can show`,
    hint,
  );
}

function certain(look: Look, outcome: string, powered: boolean, label: string): BoundReading {
  const seen = new Float64Array(look.outcomes.length);
  seen[look.outcomes.indexOf(outcome)] = 1;
  return { look, seen, powered, label };
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
  const rateHertz = at.net < 0 ? 0 : (space.rates[at.net] as number);
  const rateKnown = rateHertz > 0;
  const look = levelLook(space, instrument, at.net, at.pin, rateKnown);
  const shown = (entry.shows ?? rateWord(entry.hertz, rateHertz)).trim().toLowerCase();
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

/** A measured rate in words: right within 3 % of the healthy rate, where one is known. */
function rateWord(hertz: number | undefined, healthyHertz: number): string {
  if (hertz === undefined) return "";
  if (hertz === 0) return "low";
  return healthyHertz > 0 && Math.abs(hertz / healthyHertz - 1) > 0.03 ? "wrong-rate" : "pulsing";
}

function bindHeat(space: FaultSpace, entry: ReadingEntry, place: Place): ReadingResult {
  if (place.kind !== "part") return wrongPlace(entry, "a part");
  const look = heatLook(space, place.part);
  const shown = entry.shows?.trim().toLowerCase();
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

/** True for a reading of ripple: in volts peak to peak, or in the words for it. */
export function tellsRipple(entry: ReadingEntry): boolean {
  const shown = entry.shows?.trim().toLowerCase();
  return entry.rippleVolts !== undefined || shown === "smooth" || shown === "rippled";
}

function bindRipple(space: FaultSpace, entry: ReadingEntry, net: number, pin: number): ReadingResult {
  if (!isRail(space, net)) return wrongPlace(entry, "a rail or a supply pin");
  const nominal = Math.abs(nominalVolt(space, net) ?? 5);
  // Regulated rails are expected within 2 % of ripple, raw ones within 15 % (common practice, no source).
  const limit = nominal * (isRaw(space, net) ? 0.15 : 0.02);
  const look = railLook(space, "ripple-meter", net, pin);
  if (entry.rippleVolts === undefined)
    return words(look, entry, { smooth: ["smooth"], rippled: ["rippled"] }, true);
  const chance = 1 / (1 + Math.exp(-8 * Math.log(entry.rippleVolts / limit + 1e-9)));
  const seen = Float64Array.of(1 - chance, chance);
  return { look, seen, powered: true, label: `${entry.at} ripple ${entry.rippleVolts} V` };
}

function bindMeter(space: FaultSpace, entry: ReadingEntry, place: Place): ReadingResult {
  if (place.kind === "supply") return bindCurrent(space, entry);
  if (place.kind === "part") {
    return words(
      deviceLook(space, place.part),
      entry,
      { normal: ["normal", "ok", "good"], open: ["open"], short: ["short", "shorted"] },
      false,
    );
  }
  if (place.kind === "pins") {
    const look = continuityLook(space, place.first, place.second);
    const shown = entry.ohms !== undefined ? (entry.ohms < 5 ? "rings" : "open") : entry.shows;
    return words(
      look,
      { ...entry, shows: shown },
      { rings: ["rings", "closed", "short"], open: ["open", "silent"] },
      false,
    );
  }
  const { net } = place;
  const pin = place.kind === "pin" ? place.pin : -1;
  if (entry.rippleVolts !== undefined) return bindRipple(space, entry, net, pin);
  if (entry.volts !== undefined)
    return isRail(space, net)
      ? bindRailVolts(space, entry, net, pin)
      : bindSignalVolts(space, entry, net, pin);
  if (entry.ohms !== undefined || entry.when === "unpowered") {
    if (net < 0) return wrongPlace(entry, "a connected pin");
    const shown = entry.ohms !== undefined ? (entry.ohms < 10 ? "short" : "normal") : entry.shows;
    return words(
      shortLook(space, net),
      { ...entry, shows: shown },
      { short: ["short", "shorted"], normal: ["normal", "ok", "open"] },
      false,
    );
  }
  if (isRail(space, net)) {
    return words(
      railLook(space, "rail-meter", net, pin),
      entry,
      {
        absent: ["absent", "none", "dead"],
        "too-low": ["too-low", "low"],
        good: ["good", "ok", "right"],
        "too-high": ["too-high", "high"],
      },
      true,
    );
  }
  return words(
    levelLook(space, "multimeter", net, pin, false),
    entry,
    { low: ["low"], high: ["high"], "between-levels": ["between-levels", "between"] },
    true,
  );
}

function bindCurrent(space: FaultSpace, entry: ReadingEntry): ReadingResult {
  const look = currentLook(space);
  if (entry.shows !== undefined || entry.amperes === undefined) {
    return words(look, entry, { normal: ["normal", "ok"], low: ["low"], high: ["high"] }, true);
  }
  const typical = typicalAmpere(space);
  const share = entry.amperes / typical;
  const outcome = share > 1.6 ? "high" : share < 0.5 ? "low" : "normal";
  return certain(look, outcome, true, `supply ${entry.amperes} A (about ${typical.toFixed(1)} A expected)`);
}

/** Sum of the typical supply currents of all parts. */
function typicalAmpere(space: FaultSpace): number {
  let milliampere = 0;
  for (const part of space.circuit.wiring.parts) milliampere += part.type.supplyCurrentMilliampere ?? 0;
  return Math.max(0.1, milliampere / 1000);
}

function nominalVolt(space: FaultSpace, net: number): number | undefined {
  const name = space.circuit.wiring.nets[net];
  return space.circuit.wiring.board.rails.find((rail) => rail.net === name)?.nominalVolt;
}

function isRaw(space: FaultSpace, net: number): boolean {
  const name = space.circuit.wiring.nets[net];
  return space.circuit.wiring.board.rails.find((rail) => rail.net === name)?.raw === true;
}

/** Volts on a rail: fitted softly to absent, too low, good and too high, with 1 % of meter error at the borders. */
function bindRailVolts(space: FaultSpace, entry: ReadingEntry, net: number, pin: number): ReadingResult {
  const { board, nets } = space.circuit.wiring;
  const rail = board.rails.find((r) => r.net === nets[net]);
  const volts = entry.volts ?? 0;
  if (rail === undefined) return wrongPlace(entry, "a rail");
  const nominal = rail.nominalVolt;
  const share = volts / nominal;
  const tolerance = rail.tolerancePercent / 100;
  const above = (limit: number): number => 1 / (1 + Math.exp(-(share - limit) / 0.008));
  const present = above(0.15);
  const enough = above(1 - tolerance);
  const tooMuch = above(1 + tolerance);
  const seen = Float64Array.of(
    1 - present,
    present * (1 - enough),
    present * enough * (1 - tooMuch),
    tooMuch,
  );
  return {
    look: railLook(space, "rail-meter", net, pin),
    seen,
    powered: true,
    label: `${entry.at} ${volts} V (${nominal} V wanted)`,
  };
}

/** Volts on a logic line: below 0.8 V low, above 2.4 V high (TTL levels), between them moving or floating. */
function bindSignalVolts(space: FaultSpace, entry: ReadingEntry, net: number, pin: number): ReadingResult {
  const volts = entry.volts ?? 0;
  if (volts < -1 || volts > 6)
    return problem(
      "impossible-value",
      `${volts} V cannot stand on the logic line ${entry.at}`,
      "Check the probe, the range and the sign.",
    );
  const above = (limit: number): number => 1 / (1 + Math.exp(-(volts - limit) / 0.05));
  const low = 1 - above(0.8);
  const high = above(2.4);
  const seen = Float64Array.of(low, high, Math.max(0, 1 - low - high));
  return {
    look: levelLook(space, "multimeter", net, pin, false),
    seen,
    powered: true,
    label: `${entry.at} ${volts} V`,
  };
}
