import type { PartType } from "../part-type.js";
import type { PartTypeSource } from "../read/board-semantics.js";
import { pinNumbersOf } from "../type-pins.js";
import { type ChipReading, readChipNumber } from "./chip-number.js";
import { anyGlobMatches } from "./glob.js";
import type { RecognitionData } from "./recognition-data.js";
import type { PlainRule } from "./schema.js";
import { readFarad } from "./values.js";

/** What is known of a component before it is recognised. */
export interface ComponentFacts {
  readonly ref: string;
  readonly value: string;
  readonly libraryPart: string;
  readonly footprint: string;
  /** Numbers of the pins that are on a net. */
  readonly connectedPins: readonly string[];
  /** Name of a pin on the schematic symbol, empty if it has none. */
  pinName(number: string): string;
}

export type Certainty = "sure" | "likely" | "unsure";

/** A component as one of our part types. */
export interface RecognisedPart {
  readonly type: string;
  readonly reason: string;
  readonly certainty: Certainty;
  /** Pin number of the type by pin number of the component, for connected pins. */
  readonly pins: ReadonlyMap<string, string>;
  /** Jumpers: pairs of pins joined as drawn. */
  readonly bridges?: readonly (readonly [string, string])[];
}

/** Outcome for one component: a part, a reason to leave it out, or nothing known. */
export type Recognition =
  | { readonly kind: "part"; readonly part: RecognisedPart }
  | { readonly kind: "left-out"; readonly reason: string }
  | { readonly kind: "unknown"; readonly reason: string };

/** Recognises a component from its value, then its schematic symbol, then its reference letters. */
export function recognisePart(
  facts: ComponentFacts,
  types: PartTypeSource,
  data: RecognitionData,
): Recognition {
  const refusals: string[] = [];
  if (!data.neverChips.includes(refLetters(facts.ref))) {
    const chip =
      chipPart(facts, facts.value, "value", types, data, refusals) ??
      chipPart(facts, facts.libraryPart, "symbol", types, data, refusals);
    if (chip !== undefined) return { kind: "part", part: chip };
  }
  for (const rule of data.plainRules) {
    if (!ruleHolds(rule, facts)) continue;
    if (rule.types.length === 0) return { kind: "left-out", reason: rule.reason };
    const part = plainPart(facts, rule, types);
    if (part !== undefined) return { kind: "part", part };
  }
  const reason = refusals[0] ?? "neither its value nor its symbol is known";
  return { kind: "unknown", reason };
}

/** A component as the type the user gave for it; undefined if the type is not in the library. */
export function partOfType(
  facts: ComponentFacts,
  name: string,
  types: PartTypeSource,
): RecognisedPart | undefined {
  const type = types.get(name);
  if (type === undefined) return undefined;
  const pins = pinsByNumber(facts, type) ?? pinsByName(facts, type);
  if (pins === undefined) return undefined;
  return { type: name, reason: "given by the user", certainty: "sure", pins };
}

function chipPart(
  facts: ComponentFacts,
  text: string,
  origin: "value" | "symbol",
  types: PartTypeSource,
  data: RecognitionData,
  refusals: string[],
): RecognisedPart | undefined {
  const own = text.trim();
  // A name of our own needs no reading; as-board types are no chips.
  const named = types.get(own);
  const reading: ChipReading | undefined =
    named !== undefined && named.pins !== "as-board"
      ? { types: [own], reason: "the name of a part type", exactTypes: 1 }
      : readChipNumber(text, data);
  if (reading === undefined) return undefined;
  for (const [i, name] of reading.types.entries()) {
    const type = types.get(name);
    if (type === undefined) continue;
    const pins = pinsByNumber(facts, type);
    if (pins === undefined) {
      refusals.push(`${origin} '${text}' reads as ${name}, but the pins do not fit`);
      continue;
    }
    const exact = i < reading.exactTypes;
    const standsIn = exact ? "" : `; ${name} stands in with the same function, its levels and drive differ`;
    return {
      type: name,
      reason: `${origin} '${text}': ${reading.reason}${standsIn}`,
      certainty: exact && origin === "value" ? "sure" : "likely",
      pins,
    };
  }
  refusals.push(
    `${origin} '${text}' reads as ${reading.types[0] ?? "nothing"}, which the part library lacks`,
  );
  return undefined;
}

/** The letters a reference begins with: `RN` of `RN4`. */
export function refLetters(ref: string): string {
  return /^[A-Za-z]*/.exec(ref)?.[0].toUpperCase() ?? "";
}

function ruleHolds(rule: PlainRule, facts: ComponentFacts): boolean {
  if (rule.libraryParts !== undefined && !anyGlobMatches(rule.libraryParts, facts.libraryPart)) return false;
  if (rule.refs !== undefined && !rule.refs.includes(refLetters(facts.ref))) return false;
  if (rule.values !== undefined && !anyGlobMatches(rule.values, facts.value)) return false;
  if (rule.footprints !== undefined && !anyGlobMatches(rule.footprints, facts.footprint)) return false;
  if (rule.pinNumbers !== undefined) {
    const allowed = new Set(rule.pinNumbers);
    if (!facts.connectedPins.every((pin) => allowed.has(pin))) return false;
  }
  if (rule.minimumFarad !== undefined) {
    const farad = readFarad(facts.value);
    if (farad === undefined || farad < rule.minimumFarad) return false;
  }
  return true;
}

function plainPart(
  facts: ComponentFacts,
  rule: PlainRule,
  types: PartTypeSource,
): RecognisedPart | undefined {
  for (const name of rule.types) {
    const type = types.get(name);
    if (type === undefined) continue;
    const pins = rulePins(facts, rule, type);
    if (pins === undefined) continue;
    const bridges = rule.bridges === undefined ? {} : { bridges: rule.bridges };
    return { type: name, reason: rule.reason, certainty: rule.certainty, pins, ...bridges };
  }
  return undefined;
}

function rulePins(
  facts: ComponentFacts,
  rule: PlainRule,
  type: PartType,
): ReadonlyMap<string, string> | undefined {
  if (rule.pinMap !== undefined) {
    const pins = new Map<string, string>();
    for (const number of facts.connectedPins) {
      const mapped = Object.hasOwn(rule.pinMap, number) ? rule.pinMap[number] : undefined;
      if (mapped === undefined) return undefined;
      pins.set(number, mapped);
    }
    return pins;
  }
  if (rule.pinsByName === true) return pinsByName(facts, type) ?? pinsByNumber(facts, type);
  return pinsByNumber(facts, type);
}

function pinsByNumber(facts: ComponentFacts, type: PartType): ReadonlyMap<string, string> | undefined {
  const numbers = pinNumbersOf(type);
  if (numbers !== undefined && !facts.connectedPins.every((pin) => numbers.has(pin))) return undefined;
  return new Map(facts.connectedPins.map((pin) => [pin, pin]));
}

function pinsByName(facts: ComponentFacts, type: PartType): ReadonlyMap<string, string> | undefined {
  if (type.pins === "as-board") return undefined;
  const numberOf = new Map(type.pins.map((pin) => [pin.name.toUpperCase(), pin.number]));
  const pins = new Map<string, string>();
  const used = new Set<string>();
  for (const number of facts.connectedPins) {
    const mapped = numberOf.get(facts.pinName(number).toUpperCase());
    if (mapped === undefined || used.has(mapped)) return undefined;
    used.add(mapped);
    pins.set(number, mapped);
  }
  return pins;
}
