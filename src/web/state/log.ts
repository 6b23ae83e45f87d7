import type { LogLine } from "../../app/api/entry.js";

/** The entry that an undo would strike out: the latest that stands and is neither a strike nor about the job itself. */
export function lastUndoable(log: readonly LogLine[]): LogLine | undefined {
  return log.findLast(
    ({ entry, struck }) =>
      !struck &&
      entry.kind !== "strike" &&
      entry.kind !== "job-setup" &&
      entry.kind !== "job-closed" &&
      entry.kind !== "job-reopened",
  );
}

/** The log with new lines in it; undefined if lines between are missing and it has to be fetched. */
export function mergeLines(
  log: readonly LogLine[],
  lines: readonly LogLine[],
  struck: ReadonlySet<number> | undefined,
): LogLine[] | undefined {
  const byNumber = new Map(log.map((line) => [line.number, line]));
  for (const line of lines) byNumber.set(line.number, line);
  const merged = [...byNumber.values()].sort((a, b) => a.number - b.number);
  if (merged.some((line, i) => line.number !== i + 1)) return undefined;
  if (struck === undefined) return merged;
  return merged.map((line) =>
    line.struck === struck.has(line.number) ? line : { ...line, struck: struck.has(line.number) },
  );
}
