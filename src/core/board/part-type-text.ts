import type { z } from "zod";
import type { partTypeFileSchema } from "./part-type.js";

const lineWidth = 110;

/**
 * Canonical text of a part-type file: types sorted by name, a line for each pin, and everything else on one line
 * where it fits, so that a changed pin or function shows as one changed line. Ends with a line feed.
 */
export function renderPartTypeFile(file: z.infer<typeof partTypeFileSchema>): string {
  const types = [...file.types].sort((a, b) => (a.type < b.type ? -1 : a.type > b.type ? 1 : 0));
  return `${render({ ...file, types }, 0, [])}\n`;
}

/** Lists and records that always get a line for each item, by the names of the fields that lead to them. */
const alwaysOpen = new Set(["", "types", "types/*", "types/*/pins"]);

function render(value: unknown, indent: number, path: readonly string[]): string {
  if (typeof value !== "object" || value === null) return JSON.stringify(value);
  const isList = Array.isArray(value);
  const entries: [string, unknown][] = isList
    ? value.map((item: unknown) => ["*", item])
    : Object.entries(value).filter(([, item]) => item !== undefined);
  const [opening, closing] = isList ? "[]" : "{}";
  if (!alwaysOpen.has(path.join("/"))) {
    const line = renderLine(value);
    const keyWidth = isList || path.at(-1) === "*" ? 0 : (path.at(-1) ?? "").length + 4;
    if (indent + keyWidth + line.length < lineWidth) return line;
  }
  const inner = " ".repeat(indent + 2);
  const lines = entries.map(([key, item]) => {
    const text = render(item, indent + 2, [...path, key]);
    return isList ? `${inner}${text}` : `${inner}${JSON.stringify(key)}: ${text}`;
  });
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
