import type { Parsed, Problem } from "../core/base/problem.js";
import type { CaseEntry } from "../core/find/case/case.js";
import { explainFailures, type MemoryExplanation } from "../core/memory/failing/explain.js";
import { type FailingRead, parseFailures } from "../core/memory/failing/failure-list.js";
import { type AddressRange, type MemoryArray, mapMemory } from "../core/memory/map/memory-map.js";
import type { LoadedBoard } from "./load-board.js";
import type { TextFile } from "./passed-in.js";
import { usage } from "./usage.js";

/** What a memory test said, as the log keeps it. */
export type MemoryTestEntry = Extract<CaseEntry, { kind: "memory-test" }>;

/** Most bytes of a list of failing addresses. */
export const maximumFailureBytes = 30_000_000;

/** What failing addresses say about a board. */
export interface ExplainedMemory {
  readonly board: string;
  readonly title: string;
  readonly explanation: MemoryExplanation;
  /** The memory that was looked at, what failed in it, and what was tested of it if not all was. */
  readonly arrays: readonly MemoryArray[];
  readonly reads: readonly FailingRead[];
  readonly tested?: readonly AddressRange[];
}

/**
 * Explains a list of failing addresses through a board's memory map. `tested` is a list of ranges such as
 * `2000-3FFF,8000-FFFF`; everything was tested if it is absent. The value is absent if the list or the map has a flaw.
 * Throws `usage` for ranges that cannot be read.
 */
export function explainMemory(
  { board, types }: LoadedBoard,
  { file, text }: TextFile,
  tested: string | undefined,
): Parsed<ExplainedMemory> {
  const ranges = tested === undefined ? undefined : readRanges(tested);
  const map = mapMemory(board, types);
  const problems: Problem[] = [...map.problems];
  if (map.value === undefined) return { problems };
  const list = parseFailures(text, file);
  problems.push(...list.problems);
  if (list.value === undefined) return { problems };
  const explained = explainFailures(
    map.value,
    list.value.reads,
    ranges === undefined ? {} : { tested: ranges },
  );
  problems.push(...explained.problems.map((problem) => ({ ...problem, where: { ...problem.where, file } })));
  if (explained.value === undefined) return { problems };
  const value = {
    board: board.id,
    title: board.title,
    explanation: explained.value,
    arrays: map.value,
    reads: list.value.reads,
    ...(ranges === undefined ? {} : { tested: ranges }),
  };
  return { value, problems };
}

/** Causes that a log entry keeps: what is unlikelier than these does not move the suspects. */
const mostCauses = 8;

/** The log entry that an explanation makes: finding the fault goes on with its causes as evidence. */
export function memoryTestEntry({ explanations }: MemoryExplanation): MemoryTestEntry {
  const [best] = explanations;
  if (best === undefined) return { kind: "memory-test", by: "test-program", verdict: "good" };
  return {
    kind: "memory-test",
    by: "test-program",
    verdict: "causes",
    causes: explanations.slice(0, mostCauses).map(({ title, share, parts }) => ({
      title,
      share,
      parts: parts.map(({ part, pins, failureMode, weight }) => ({
        part,
        mode: failureMode,
        ...(pins.length === 0 ? {} : { pins: [...pins] }),
        weight,
      })),
    })),
  };
}

function readRanges(text: string): readonly AddressRange[] {
  const { ranges, wrong } = parseRanges(text);
  if (wrong !== undefined)
    throw usage(`--tested takes hexadecimal ranges such as 2000-3FFF; got '${wrong}'.`);
  return ranges;
}

/** Ranges as text, `2000-3FFF,8000-FFFF`, also with `$`, `0x` or `h`; `wrong` is the first that cannot be read. */
export function parseRanges(text: string): {
  readonly ranges: readonly AddressRange[];
  readonly wrong?: string;
} {
  const ranges: AddressRange[] = [];
  for (const item of text.split(",")) {
    const match = /^\s*(?:\$|0x)?([0-9a-f]{1,6})h?\s*-\s*(?:\$|0x)?([0-9a-f]{1,6})h?\s*$/i.exec(item);
    const [, from = "", to = ""] = match ?? [];
    const range = { from: Number.parseInt(from, 16), to: Number.parseInt(to, 16) };
    if (match === null || range.from > range.to) return { ranges, wrong: item.trim() };
    ranges.push(range);
  }
  return { ranges };
}
