import type { DraftLibraryPart, DraftPin } from "./netlist-draft.js";
import type { SExpressionList } from "./s-expression.js";
import { listsNamed, textNamed } from "./s-expression-query.js";

/** The symbols of a `(libparts ...)` list; symbols without a name and pins without a number are left out. */
export function readLibraryParts(list: SExpressionList | undefined): DraftLibraryPart[] {
  if (list === undefined) return [];
  const parts: DraftLibraryPart[] = [];
  for (const item of listsNamed(list, "libpart")) {
    const libraryName = textNamed(item, "lib");
    const part = textNamed(item, "part");
    if (libraryName === undefined || part === undefined) continue;
    const description = textNamed(item, "description");
    const aliases = listsNamed(item, "aliases")[0];
    parts.push({
      libraryName,
      part,
      aliases: aliases === undefined ? [] : listsNamed(aliases, "alias").flatMap((alias) => lastText(alias)),
      ...(description === undefined || description === "" ? {} : { description }),
      pins: readPins(listsNamed(item, "pins")[0]),
    });
  }
  return parts;
}

function lastText(list: SExpressionList): string[] {
  const last = list.items.slice(1).at(-1);
  return last?.kind === "atom" ? [last.text] : [];
}

function readPins(list: SExpressionList | undefined): DraftPin[] {
  if (list === undefined) return [];
  const pins = new Map<string, DraftPin>();
  for (const item of listsNamed(list, "pin")) {
    const number = textNamed(item, "num");
    if (number === undefined || number === "" || pins.has(number)) continue;
    pins.set(number, {
      number,
      name: textNamed(item, "name") ?? "",
      electricalType: textNamed(item, "type") ?? "",
    });
  }
  return [...pins.values()];
}
