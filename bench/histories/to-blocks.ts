import { type Blocks, blocksSchema } from "../../src/core/board/sketch/blocks.js";
import { fits, type History, type HistoryPhrases } from "./vocabulary.js";

/** A history's blocks as a block description, and the words that said nothing to us. */
export interface DescribedMachine {
  readonly blocks: Blocks | undefined;
  /** Why there is none. */
  readonly reason: string | undefined;
  readonly unmatched: readonly string[];
}

type Fields = Record<string, unknown>;

/** Puts the blocks of a history together; lists are joined, records merged, a rail or a kind of chip given twice is kept once. */
export function describeMachine(history: History, phrases: HistoryPhrases): DescribedMachine {
  const fields: Fields = {
    formatVersion: 1,
    id: history.id,
    title: history.machine_family,
    ...phrases.always,
  };
  const unmatched: string[] = [];
  for (const block of history.blocks) {
    const others = history.blocks.filter((other) => other !== block);
    const beside = (word: string): boolean => history.blocks.some((other) => fits(word, other));
    const rule = phrases.blocks.find(
      (one) =>
        fits(one.phrase, block) &&
        (one.beside === undefined || beside(one.beside)) &&
        (one.notBeside === undefined || !others.some((other) => fits(one.notBeside ?? "", other))),
    );
    if (rule === undefined) unmatched.push(block);
    else merge(fields, numbered(rule.adds, countIn(block) ?? rule.count ?? 1));
  }
  fields["machineFamily"] = history.machine_family;
  if (fields["processor"] === undefined)
    return { blocks: undefined, reason: "its processor is none a sketch can be made with", unmatched };
  for (const [name, usual] of [
    ["roms", [{ type: "2364", count: 1 }]],
    ["ram", [{ type: "4164", chips: 8 }]],
    ["video", { by: "custom", type: "custom video chip" }],
  ] as const)
    if (fields[name] === undefined || !isComplete(name, fields[name])) merge(fields, { [name]: usual });
  if (
    Array.isArray(fields["ram"]) &&
    !fields["ram"].some((block) => isRecord(block) && block["use"] === undefined)
  )
    merge(fields, { ram: [{ type: "6116", chips: 1 }] });
  const parsed = blocksSchema.safeParse(fields);
  if (!parsed.success) return { blocks: undefined, reason: parsed.error.issues[0]?.message, unmatched };
  return { blocks: parsed.data, reason: undefined, unmatched };
}

/** A picture needs to know what makes it. */
function isComplete(name: string, value: unknown): boolean {
  return name !== "video" || (isRecord(value) && value["by"] !== undefined);
}

/** The number of chips a phrase begins with: `8x4164`. */
function countIn(text: string): number | undefined {
  const found = /^(\d+)x/.exec(text)?.[1];
  return found === undefined ? undefined : Number(found);
}

function numbered(value: unknown, count: number): Fields {
  const filled: unknown = JSON.parse(JSON.stringify(value), (_, inner: unknown) =>
    inner === "count" ? count : inner,
  );
  return isRecord(filled) ? filled : {};
}

function isRecord(value: unknown): value is Fields {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function merge(into: Fields, adds: Fields): void {
  for (const [key, value] of Object.entries(adds)) {
    const before = into[key];
    if (Array.isArray(value)) {
      const list: unknown[] = Array.isArray(before) ? before : [];
      into[key] = [...list, ...value.filter((item) => !list.some((one) => isSame(one, item)))];
    } else if (isRecord(value)) into[key] = { ...value, ...(isRecord(before) ? before : {}) };
    else into[key] = before ?? value;
  }
}

/** Two rails of one voltage, or two custom chips of one name, are one. */
function isSame(one: unknown, other: unknown): boolean {
  if (!isRecord(one) || !isRecord(other)) return false;
  const by = ["volt", "name", "of"].find((field) => one[field] !== undefined);
  return by !== undefined && one[by] === other[by];
}
