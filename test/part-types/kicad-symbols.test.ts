import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { PartType, PinKind } from "../../src/core/board/part-type.js";
import { readSExpressions, type SExpressionList } from "../../src/core/board/read/s-expression.js";
import { listsNamed, textNamed } from "../../src/core/board/read/s-expression-query.js";
import { readPartLibrary, typeNamed } from "../support/part-types.js";

/*
 * Every type that KiCad has a symbol of the same number for, pin by pin: numbers and directions. The symbols are those of
 * the Debian package kicad-symbols (CC-BY-SA 4.0 with exception), where it is installed; nothing of them is kept here.
 * Names are not compared, because the data books' and the symbols' differ (`CP` for `CLK`).
 */

const folder = process.env["BOARDWAKE_KICAD_SYMBOLS"] ?? "/usr/share/kicad/symbols";
// Libraries of chips; others have symbols of the same number that are something else.
const libraries =
  /^(74xx|74xGxx|4xxx|Amplifier_Operational|Comparator|CPU|Interface|Interface_UART|Memory_EPROM|Memory_RAM|Memory_ROM|Regulator_Linear|Timer|Video)\.kicad_sym$/;

/** Ways in which a symbol may draw a pin of each kind. */
const drawn: Readonly<Record<PinKind, readonly string[]>> = {
  in: ["input", "passive"],
  out: ["output", "passive"],
  tri: ["tri_state", "output", "bidirectional", "passive"],
  oc: ["open_collector", "open_emitter", "output", "passive"],
  bidir: ["bidirectional", "tri_state", "passive"],
  power: ["power_in", "power_out", "passive"],
  ground: ["power_in", "passive"],
  passive: ["passive", "input", "output", "no_connect"],
  nc: ["no_connect", "passive", "free", "unspecified"],
};

const programming =
  "the symbol draws the programming supply as an input; it carries current when programming";
const pump = "the symbol calls the charge pump's own voltage a supply; it feeds nothing but its capacitor";

/** Pins that the symbol draws otherwise, with the reason. */
const explained: Readonly<Record<string, string>> = {
  "27128.1": programming,
  "27256.1": programming,
  "2764.1": programming,
  "MAX232.2": pump,
  "MAX232.6": pump,
};

function pinsOf(symbol: SExpressionList): Map<string, string> {
  const pins = new Map<string, string>();
  const visit = (list: SExpressionList): void => {
    for (const pin of listsNamed(list, "pin")) {
      const number = listsNamed(pin, "number")[0]?.items[1];
      const kind = pin.items[1];
      if (number?.kind === "atom" && kind?.kind === "atom" && !pins.has(number.text))
        pins.set(number.text, kind.text);
    }
    for (const unit of listsNamed(list, "symbol")) visit(unit);
  };
  visit(symbol);
  return pins;
}

/** Pins by symbol name, those of a symbol that extends another included. */
function readSymbols(): Map<string, Map<string, string>> {
  const symbols = new Map<string, Map<string, string>>();
  for (const file of readdirSync(folder).filter((name) => libraries.test(name))) {
    const read = readSExpressions(readFileSync(join(folder, file), "utf8"), { file });
    expect(read.problems, file).toEqual([]);
    const lists = (read.value ?? []).flatMap((root) =>
      root.kind === "list" ? listsNamed(root, "symbol") : [],
    );
    const named = new Map(
      lists.flatMap((list) => (list.items[1]?.kind === "atom" ? [[list.items[1].text, list] as const] : [])),
    );
    for (const [name, list] of named) {
      const base = textNamed(list, "extends");
      const source = base === undefined ? list : named.get(base);
      if (source !== undefined && !symbols.has(name)) symbols.set(name, pinsOf(source));
    }
  }
  return symbols;
}

/** One line for each pin that differs. */
function differences(type: PartType, symbol: ReadonlyMap<string, string>): string[] {
  if (type.pins === "as-board") return [];
  const own = new Map(type.pins.map((pin) => [pin.number, pin]));
  const missing = [...symbol.keys()]
    .filter((number) => !own.has(number))
    .map((number) => `${type.type}.${number}: not ours`);
  const wrong = type.pins.flatMap(({ number, name, kind }) => {
    const found = symbol.get(number);
    // A symbol may leave out pins without function.
    if (found === undefined) return kind === "nc" ? [] : [`${type.type}.${number}: not drawn`];
    return drawn[kind].includes(found)
      ? []
      : [`${type.type}.${number}: ${name} is ${kind}, drawn as ${found}`];
  });
  return [...missing, ...wrong];
}

describe("part types beside KiCad's symbols", () => {
  it("have the same pins", ({ skip }) => {
    if (!existsSync(folder)) return skip(`the package kicad-symbols is not here (${folder})`);
    const library = readPartLibrary();
    const symbols = readSymbols();
    const compared = library.names().flatMap((name) => {
      const symbol =
        symbols.get(name) ?? symbols.get(`LM${name}_TO220`) ?? symbols.get(`4${name.slice(1)}xx`);
      return symbol === undefined ? [] : [{ name, symbol }];
    });
    expect(compared.length).toBeGreaterThan(60);
    const found = compared.flatMap(({ name, symbol }) => differences(typeNamed(library, name), symbol));
    const pinsFound = found.map((line) => line.split(":")[0] ?? "");
    expect(found.filter((_, i) => explained[pinsFound[i] ?? ""] === undefined)).toEqual([]);
    // What no longer differs needs no reason.
    expect(Object.keys(explained).filter((pin) => !pinsFound.includes(pin))).toEqual([]);
  });
});
