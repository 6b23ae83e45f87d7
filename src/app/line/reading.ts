import { nearestName } from "../../core/base/nearest.js";
import type { CaseEntry, Instrument, ReadingEntry } from "../../core/find/case/case.js";
import { partNamed } from "../../core/find/evidence/place-name.js";
import type { LineContext, Misread } from "./context.js";
import { type FoundPlace, findPlace, isRailPlace } from "./place.js";
import { instrumentWords, shownWords, type Unit, units } from "./words.js";

/** What the words after a place say, before it is clear with what it was read. */
interface Said {
  shows?: string;
  number?: { readonly value: number; readonly unit: Unit | undefined };
  ripple?: true;
  with?: Instrument;
  when?: "cold" | "warm" | "unpowered";
  minutesSincePowerOn?: number;
}

/** Reads what follows the place of a reading: value or word, instrument, condition, in any order. */
export function readReading(
  found: FoundPlace,
  words: readonly string[],
  context: LineContext,
): CaseEntry | Misread {
  if (found.place.kind === "board") return readSweep(words, context);
  if (isRailPlace(context.circuit, found.place)) {
    const drop = readDrop(found, words, context);
    if (drop !== undefined) return drop;
  }
  const said = listen(joinPhrases(words), found);
  if ("message" in said) return said;
  if (said.shows === undefined && said.number === undefined) {
    // `U7 warm` and `U7 cold` say how the part feels, not when it was looked at.
    if (found.place.kind === "part" && (said.when === "warm" || said.when === "cold"))
      return { kind: "reading", at: found.at, with: said.with ?? "finger", shows: "normal" };
    return {
      message: `what ${found.at} shows is missing`,
      hint: "For example: U12.6 pulsing, +5V 4.62, U7 hot.",
    };
  }
  const value = measuredValue(said, found);
  if ("message" in value) return value;
  const tool = said.with ?? usualInstrument(found, said, value, context);
  const when = said.when ?? (isUnpowered(found, value, tool, context) ? "unpowered" : undefined);
  return {
    kind: "reading",
    at: found.at,
    with: tool,
    ...value,
    ...(when === undefined ? {} : { when }),
    ...(said.minutesSincePowerOn === undefined ? {} : { minutesSincePowerOn: said.minutesSincePowerOn }),
  };
}

/** The drop along a shorted rail, lowest at a part: `+5V drop C33`, `+5V lowest at U12`, `+5V drop nothing`. */
function readDrop(
  found: FoundPlace,
  [first = "", ...rest]: readonly string[],
  { circuit }: LineContext,
): CaseEntry | Misread | undefined {
  if (!/^(?:drop|lowest)$/i.test(first)) return undefined;
  const named = rest.findLast((word) => !/^(?:at|lowest|is)$/i.test(word)) ?? "";
  const entry = { kind: "reading", at: found.at, with: "multimeter" } as const;
  if (/^(?:nothing|none)$/i.test(named)) return { ...entry, shows: "nothing" };
  const place = partNamed(circuit, named);
  if (!("message" in place)) return { ...entry, shows: place.label };
  const hint = "Name the part at which the drop is lowest: +5V drop C33.";
  return { message: `'${named}' is no part at which the drop could be lowest`, hint: place.hint ?? hint };
}

/** Going over the whole board: `board eye C18`, `board finger nothing`. */
function readSweep(words: readonly string[], { circuit }: LineContext): CaseEntry | Misread {
  const hint = "For example: board eye C18, board finger nothing.";
  const [first = "", second = ""] = words.map((word) => word.toLowerCase());
  const tool = instrumentWords.get(first);
  if (tool !== "eye" && tool !== "finger" && tool !== "thermometer")
    return { message: "a whole board is gone over by eye or by finger", hint };
  const when = tool === "eye" ? { when: "unpowered" as const } : {};
  if (second === "nothing") return { kind: "reading", at: "board", with: tool, shows: "nothing", ...when };
  const found = findPlace(circuit, words.slice(1, 2), "part");
  if ("message" in found) return { hint, ...found };
  if (found.place.kind !== "part") return { message: `'${words[1] ?? ""}' is no part`, hint };
  return { kind: "reading", at: "board", with: tool, shows: found.place.label, ...when };
}

type Value = Pick<
  ReadingEntry,
  "shows" | "volts" | "rippleVolts" | "ohms" | "hertz" | "amperes" | "degreesCelsius"
>;

/** Two-word phrases become one word; commas and words without meaning go. */
function joinPhrases(words: readonly string[]): string[] {
  return words
    .join(" ")
    .replace(
      /\b(logic|chip|test|bench|too|between|wrong|not) (probe|tester|program|supply|low|high|levels|rate|named)\b/gi,
      "$1-$2",
    )
    .replace(/\b(?:power|switched) off\b/gi, "unpowered")
    .replace(/\bafter (\d+) ?min(?:utes?)?\b/gi, "after-$1")
    .split(/\s+/)
    .map((word) => word.replace(/[,;:]$/, ""))
    .filter((word) => word !== "" && !/^(?:is|shows|with|by|the|at|to|of)$/i.test(word));
}

const numberPattern = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))(.*)$/;

function listen(words: readonly string[], found: FoundPlace): Said | Misread {
  const said: Said = {};
  for (let i = 0; i < words.length; i += 1) {
    const word = words[i] ?? "";
    const lower = word.toLowerCase();
    const number = numberPattern.exec(word);
    if (number !== null) {
      if (said.number !== undefined) return { message: "two numbers stand here, and one reading has one" };
      const [, digits = "", glued = ""] = number;
      const next = words[i + 1];
      const isApart = glued === "" && next !== undefined && isUnitLike(next);
      const written = isApart ? next : glued;
      if (isApart) i += 1;
      const unit = written === "" ? undefined : unitNamed(written);
      if (written !== "" && unit === undefined) return unknownUnit(written);
      said.number = { value: Number(digits.replace(",", ".")), unit };
      continue;
    }
    const problem = hear(said, lower, found);
    if (problem !== undefined) return problem;
  }
  return said;
}

/** Takes in a word that is no number; a sentence if it means nothing, or contradicts an earlier one. */
function hear(said: Said, word: string, found: FoundPlace): Misread | undefined {
  const minutes = /^after-(\d+)$/.exec(word);
  const tool = instrumentWords.get(word);
  const shows = shownWords.get(word);
  if (minutes !== null) said.minutesSincePowerOn = Number(minutes[1]);
  else if (word === "ripple") said.ripple = true;
  else if (tool !== undefined) said.with = tool;
  else if (word === "unpowered" || word === "cold" || word === "warm") said.when = word;
  else if (shows === undefined) return unknownWord(word);
  else if (said.shows !== undefined && said.shows !== shows)
    return { message: `${found.at} cannot show both '${said.shows}' and '${shows}'` };
  else said.shows = shows;
  return undefined;
}

/** True for a word behind a number that can only have been meant as its unit. */
function isUnitLike(word: string): boolean {
  const lower = word.toLowerCase();
  const known =
    shownWords.get(lower) ??
    instrumentWords.get(lower) ??
    (/^(?:ripple|unpowered|after-\d+)$/.test(lower) ? lower : undefined);
  return known === undefined && !numberPattern.test(word);
}

function unitNamed(written: string): Unit | undefined {
  const exact = units.get(written);
  if (exact !== undefined) return exact;
  const alike = [...units.keys()].filter((name) => name.toLowerCase() === written.toLowerCase());
  // `m` or `M` before the unit makes all the difference, so it is not guessed.
  return alike.length === 1 ? units.get(alike[0] ?? "") : undefined;
}

function unknownUnit(written: string): Misread {
  const near = nearestName(written, units.keys());
  return {
    message: `'${written}' is no unit of a reading`,
    hint: near === undefined ? "Units: V, mV, ohm, k, M, Hz, kHz, MHz, A, mA, C." : `Did you mean '${near}'?`,
  };
}

function unknownWord(word: string): Misread {
  const near = nearestName(word, [...shownWords.keys(), ...instrumentWords.keys()]);
  return {
    message: `'${word}' is nothing that a reading shows`,
    hint:
      near === undefined
        ? "For example: low, high, pulsing, floating, hot, short, or a number."
        : `Did you mean '${near}'?`,
  };
}

function measuredValue(said: Said, found: FoundPlace): Value | Misread {
  if (said.number === undefined) return { shows: said.shows };
  if (said.shows !== undefined)
    return {
      message: `a reading shows either a number or '${said.shows}', not both`,
      hint: "Enter two readings.",
    };
  const { value, unit } = said.number;
  const quantity = unit?.quantity ?? usualQuantity(found);
  if (quantity === undefined)
    return { message: `a number at ${found.at} needs its unit`, hint: "For example: U7 70 C." };
  const measured = rounded(value * (unit?.factor ?? 1));
  if (said.ripple === true) {
    if (quantity === "volts") return { rippleVolts: measured };
    return { message: "ripple is measured in volts", hint: "For example: +12V ripple 0.3 V." };
  }
  return { [quantity]: measured };
}

/** What a bare number means at a place. */
function usualQuantity({ place }: FoundPlace): Unit["quantity"] | undefined {
  switch (place.kind) {
    case "net":
    case "pin":
      return "volts";
    case "pins":
      return "ohms";
    case "supply":
      return "amperes";
    case "part":
    case "board":
      return undefined;
  }
}

/** What people would have used, where they did not say. */
function usualInstrument(found: FoundPlace, said: Said, value: Value, context: LineContext): Instrument {
  const { place } = found;
  const has = (tool: Instrument): boolean => context.instruments.includes(tool);
  if (value.rippleVolts !== undefined || value.hertz !== undefined) return "oscilloscope";
  if (value.degreesCelsius !== undefined) return "thermometer";
  const shows = value.shows;
  if (shows === undefined || place.kind === "supply" || place.kind === "pins") return "multimeter";
  if (place.kind === "board") return shows === "clean" ? "eye" : "finger";
  if (place.kind === "part") {
    if (shows === "hot" || shows === "normal") return "finger";
    if (shows === "clean" || shows === "damage") return "eye";
    if (shows === "pass" || shows === "fail") return "chip-tester";
    if (shows === "named" || shows === "not-named") return "test-program";
    return "multimeter";
  }
  if (shows === "same" || shows === "different") return "twin";
  if (shows === "smooth" || shows === "rippled") return "oscilloscope";
  if (shows === "wrong-rate") return "oscilloscope";
  if (shows === "between-levels") return has("oscilloscope") ? "oscilloscope" : "multimeter";
  if (shows === "short" || shows === "normal" || said.when === "unpowered") return "multimeter";
  if (isRailPlace(context.circuit, place) && shows !== "pulsing" && shows !== "floating") return "multimeter";
  if (has("logic-probe")) return "logic-probe";
  if (has("oscilloscope")) return "oscilloscope";
  return shows === "pulsing" || shows === "floating" ? "logic-probe" : "multimeter";
}

/** Resistance, continuity and the looks of a part are taken with the power off. */
function isUnpowered({ place }: FoundPlace, value: Value, tool: Instrument, context: LineContext): boolean {
  if (value.ohms !== undefined) return true;
  if (tool !== "multimeter" || value.shows === undefined) return false;
  if (place.kind === "pins" || place.kind === "part") return true;
  return (
    value.shows === "short" ||
    (value.shows === "normal" && (place.kind === "net" || isRailPlace(context.circuit, place)))
  );
}

/** Without the noise that a factor of 0.001 adds to a typed number. */
function rounded(value: number): number {
  return Number(value.toPrecision(12));
}
