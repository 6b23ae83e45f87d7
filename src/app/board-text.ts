import type { Board } from "../core/board/board.js";

/** Lists and records that get a line for each item, by the names of the fields that lead to them. */
const open = new Set([
  "",
  "rails",
  "parts",
  "steady",
  "phases",
  "memory",
  "chain",
  "chain/picture",
  "selfTest",
  "selfTest/beacons",
  "accepted",
  "sources",
]);

/**
 * Canonical text of a board file: a line for each part, phase, rail and memory region, so that a changed pin shows as
 * one changed line. Parts stand in the order of their references by code unit, pins in the order of their numbers.
 * Ends with a line feed.
 */
export function renderBoard(board: Board): string {
  const parts = [...board.parts]
    .sort((a, b) => (a.ref < b.ref ? -1 : a.ref > b.ref ? 1 : 0))
    .map((part) => ({ ...part, pins: sortedPins(part.pins) }));
  return `${render({ ...board, parts }, 0, "")}\n`;
}

/** Numbers in numerical order; JSON gives other names their own order behind them. */
function sortedPins(pins: Readonly<Record<string, string>>): Record<string, string> {
  return Object.fromEntries(Object.entries(pins).sort(([a], [b]) => compareNames(a, b)));
}

function render(value: unknown, indent: number, path: string): string {
  if (typeof value !== "object" || value === null || !open.has(path)) return renderLine(value);
  const isList = Array.isArray(value);
  const entries = Object.entries(value).filter(([, item]) => item !== undefined);
  if (entries.length === 0) return isList ? "[]" : "{}";
  const inner = " ".repeat(indent + 2);
  const lines = entries.map(([key, item]) => {
    if (isList) return `${inner}${renderLine(item)}`;
    return `${inner}${JSON.stringify(key)}: ${render(item, indent + 2, path === "" ? key : `${path}/${key}`)}`;
  });
  const [opening, closing] = isList ? "[]" : "{}";
  return `${opening}\n${lines.join(",\n")}\n${" ".repeat(indent)}${closing}`;
}

function renderLine(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(renderLine).join(", ")}]`;
  if (typeof value !== "object" || value === null) return JSON.stringify(value);
  const fields = Object.entries(value)
    .filter(([, item]) => item !== undefined)
    .map(([key, item]) => `${JSON.stringify(key)}: ${renderLine(item)}`);
  return fields.length === 0 ? "{}" : `{ ${fields.join(", ")} }`;
}

/** `A2` before `A10`: by length within the same letters, else by code unit. */
function compareNames(a: string, b: string): number {
  const letters = (name: string): string => name.replace(/[0-9]+$/, "");
  if (letters(a) === letters(b) && a.length !== b.length) return a.length - b.length;
  return a < b ? -1 : a > b ? 1 : 0;
}
