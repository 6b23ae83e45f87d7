import { posix } from "node:path";
import { z } from "zod";
import type { FileKind } from "../../scripts/schema-registry.js";

/** What the check of one data file needs to know of the rest. */
export interface DataFileContext {
  readonly kinds: readonly FileKind[];
  /** Ids of data/sources.json. */
  readonly sourceIds: ReadonlySet<string>;
}

/** One line for each flaw of a data file: its `$schema`, its shape, the order of its lists, its sources. */
export function findDataFlaws(path: string, text: string, context: DataFileContext): string[] {
  let content: unknown;
  try {
    content = JSON.parse(text);
  } catch (cause) {
    return [`${path}: is no JSON: ${String(cause)}`];
  }
  const named = isRecord(content) ? content["$schema"] : undefined;
  if (typeof named !== "string") return [`${path}: names no $schema`];
  const schemaPath = posix.join(posix.dirname(path), named);
  const kind = context.kinds.find((candidate) => schemaPath === `data/schema/${candidate.name}.json`);
  if (kind === undefined) return [`${path}: its $schema ${named} is none of data/schema`];
  const parsed = kind.schema.safeParse(content);
  const flaws = parsed.success ? [] : z.prettifyError(parsed.error).split("\n");
  for (const { list, by } of kind.sorted ?? []) flaws.push(...findDisorder(content, list, by));
  for (const id of usedSources(content)) {
    if (!context.sourceIds.has(id)) flaws.push(`the source ${id} is not in data/sources.json`);
  }
  return flaws.map((flaw) => `${path}: ${flaw}`);
}

function findDisorder(content: unknown, list: string, by: string): string[] {
  const items = isRecord(content) ? content[list] : undefined;
  if (!Array.isArray(items)) return [];
  const keys = items.map((item: unknown) => (isRecord(item) ? String(item[by]) : ""));
  const flaws: string[] = [];
  for (const [i, key] of keys.entries()) {
    const before = keys[i - 1];
    if (before === undefined) continue;
    const order = compareCodeUnits(before, key);
    if (order > 0) flaws.push(`${list}: ${key} must stand before ${before}`);
    if (order === 0) flaws.push(`${list}: ${key} is given twice`);
  }
  return flaws;
}

/** Orders texts by code unit. */
export function compareCodeUnits(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** Ids in every `sources: [{ id }]` and every `source: "id"`, at any depth, each once. */
export function usedSources(content: unknown): Set<string> {
  const ids = new Set<string>();
  const visit = (value: unknown): void => {
    if (Array.isArray(value)) {
      for (const item of value) visit(item);
      return;
    }
    if (!isRecord(value)) return;
    if (typeof value["source"] === "string") ids.add(value["source"]);
    for (const key of ["source", "sources"]) {
      for (const reference of [value[key]].flat()) {
        if (isRecord(reference) && typeof reference["id"] === "string") ids.add(reference["id"]);
      }
    }
    for (const item of Object.values(value)) visit(item);
  };
  visit(content);
  return ids;
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
