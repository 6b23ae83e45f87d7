import { type Expression, expressionPins } from "../../../src/core/board/expression.js";
import type { PartType, PinKind } from "../../../src/core/board/part-type.js";
import { readPartLibrary, typeNamed } from "../../support/part-types.js";
import type { ReferenceRow } from "../support/check.js";
import {
  type PinTable,
  readPinTableData,
  type SymbolPin,
  type SymbolTable,
  symbolPins,
  tablePins,
} from "./pin-table-data.js";

/** Every pin table of data.json beside ours: how many of its pins ours has in the same way. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const library = readPartLibrary();
  const { pinTables, symbols } = readPinTableData();
  return [
    ...pinTables.map((table) => tableRow(table, typeNamed(library, table.type))),
    ...symbols.map((table) => symbolRow(table, typeNamed(library, table.type))),
  ];
}

/** Compares number, name and kind. */
export function tableRow(table: PinTable, type: PartType): ReferenceRow {
  const pins = tablePins(table);
  const ours = pinsOf(type);
  const equal = pins.filter((pin) =>
    ours.some((our) => our.number === pin.number && our.name === pin.name && our.kind === pin.kind),
  );
  return {
    quantity: `${table.type}, ${table.package}: pins with the same number, name and kind`,
    published: pins.length,
    ours: ours.length === pins.length && type.package === table.package ? equal.length : 0,
    tolerance: 0,
    tag: table.confidence === "seen" ? "published" : "from memory",
  };
}

/** Which directions a symbol may draw for a pin of ours. */
const drawnAs: Readonly<Record<PinKind, readonly string[]>> = {
  power: ["supply"],
  ground: ["supply", "passive"],
  in: ["in"],
  out: ["out"],
  tri: ["tri", "out"],
  oc: ["oc", "out"],
  bidir: ["bidir", "tri"],
  passive: ["passive", "in", "supply"],
  nc: ["nc", "in"],
};

/**
 * Compares number and direction of each pin; a pin name that both use must stand at the same number; the outputs of
 * one unit of a symbol whose pins have no names must depend on the inputs of that unit and no others.
 */
export function symbolRow(table: SymbolTable, type: PartType): ReferenceRow {
  const pins = symbolPins(table);
  const agreeing = pins.filter((pin) => agrees(pin, table, type) && unitAgrees(pin, pins, type));
  const missing = pinsOf(type).filter(
    (our) => our.kind !== "nc" && !pins.some((pin) => pin.number === our.number),
  );
  return {
    quantity: `${table.type}: pins that agree with the symbol ${table.symbol} of the library ${table.library}`,
    published: pins.length,
    ours: agreeing.length - missing.length,
    tolerance: 0,
    tag: "published",
  };
}

function pinsOf(type: PartType) {
  return type.pins === "as-board" ? [] : type.pins;
}

function agrees(pin: SymbolPin, table: SymbolTable, type: PartType): boolean {
  const ours = pinsOf(type);
  const our = ours.find((candidate) => candidate.number === pin.number);
  if (our === undefined) return false;
  const drawn = drawnAs[our.kind].includes(pin.direction);
  if (!drawn && table.drawnDifferently?.includes(pin.number) !== true) return false;
  const name = plainName(table.numberedFromZero ? countedFromOne(pin.name) : pin.name);
  const namesakes = ours.filter((candidate) => plainName(candidate.name) === name);
  return namesakes.length === 0 || namesakes.includes(our);
}

/** Letters, figures and signs that carry meaning; bars and separators are written differently everywhere. */
function plainName(name: string): string {
  return name.replace(/[/_.]/g, "").toUpperCase();
}

function countedFromOne(name: string): string {
  return name.replace(/^([AY])(\d)$/, (_, letter: string, digit: string) => `${letter}${Number(digit) + 1}`);
}

/** For unnamed pins: does our function of the output read exactly what the symbol draws at the same gate? */
function unitAgrees(pin: SymbolPin, pins: readonly SymbolPin[], type: PartType): boolean {
  if (pin.name !== "." || pin.direction === "in" || type.behaviour.kind !== "logic") return true;
  const nameOf = (number: string): string => pinsOf(type).find((our) => our.number === number)?.name ?? "";
  const drawn = pins
    .filter((other) => other.unit === pin.unit && other.direction === "in")
    .map(({ number }) => nameOf(number));
  const { outputs, enables } = type.behaviour;
  const name = nameOf(pin.number);
  const functions = [outputs[name], enables?.[name]].filter(
    (found): found is Expression => found !== undefined,
  );
  const read = new Set(functions.flatMap(expressionPins));
  return drawn.length === read.size && drawn.every((input) => read.has(input));
}
