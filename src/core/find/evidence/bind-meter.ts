import type { ReadingEntry } from "../case/case.js";
import type { FaultSpace } from "../reason/space.js";
import type { Circuit } from "../settle/build.js";
import { levelLook, railLook } from "./look.js";
import {
  continuityLook,
  currentLook,
  deviceLook,
  isRail,
  neighboursLook,
  shortLook,
} from "./looks-passive.js";
import { dropLook, dropRegionLook, nothingFound, regions } from "./looks-sweep.js";
import { type Place, partNamed } from "./place-name.js";
import { certain, problem, type ReadingResult, unknownWord, words, wrongPlace } from "./reading-words.js";

const regionWords: ReadonlySet<string> = new Set([nothingFound, ...regions]);

/** True for a reading of the drop along a shorted rail: it names a part, or a region of the board. */
export function tellsDrop(circuit: Circuit, { with: tool, shows = "" }: ReadingEntry): boolean {
  if (tool !== "multimeter") return false;
  return regionWords.has(shows.trim().toLowerCase()) || !("message" in partNamed(circuit, shows.trim()));
}

function bindDrop(space: FaultSpace, entry: ReadingEntry, net: number): ReadingResult {
  const shown = entry.shows?.trim() ?? "";
  const named = regions.find((region) => region === shown.toLowerCase());
  if (named !== undefined)
    return certain(dropRegionLook(space, net), named, true, `${entry.at} drop lowest ${named}`);
  const look = dropLook(space, net);
  if (shown.toLowerCase() === nothingFound)
    return certain(look, nothingFound, true, `${entry.at} drop: ${nothingFound}`);
  const place = partNamed(space.circuit, shown);
  if ("message" in place || !look.outcomes.includes(place.label)) return unknownWord(entry, look.outcomes);
  return certain(look, place.label, true, `${entry.at} drop lowest at ${place.label}`);
}

/** True for a reading of ripple: in volts peak to peak, or in the words for it. */
export function tellsRipple(entry: ReadingEntry): boolean {
  const shown = entry.shows?.trim().toLowerCase();
  return entry.rippleVolts !== undefined || shown === "smooth" || shown === "rippled";
}

/** Ripple on a rail: fitted softly to smooth and rippled. */
export function bindRipple(space: FaultSpace, entry: ReadingEntry, net: number, pin: number): ReadingResult {
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

/** A reading with a multimeter, or with the meters of a bench supply. */
export function bindMeter(space: FaultSpace, entry: ReadingEntry, place: Place): ReadingResult {
  if (place.kind === "supply") return bindCurrent(space, entry);
  if (place.kind === "part" && place.neighbours === true) {
    return words(
      neighboursLook(space, place.part),
      entry,
      {
        clear: ["clear", "ok", "normal", "open", "silent", "nothing"],
        short: ["short", "shorted", "rings", "closed", "bridged"],
      },
      false,
    );
  }
  if (place.kind === "part") {
    return words(
      deviceLook(space, place.part, entry.outOfCircuit === true),
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
  if (place.kind === "board") return wrongPlace(entry, "a pin, a rail or a part");
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
  if (isRail(space, net) && tellsDrop(space.circuit, entry)) return bindDrop(space, entry, net);
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
export function bindRailVolts(
  space: FaultSpace,
  entry: ReadingEntry,
  net: number,
  pin: number,
): ReadingResult {
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
  const seen = Float64Array.of(1 - present, present - enough, enough - tooMuch, tooMuch);
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
