import type { CaseEntry } from "../find/case/case.js";
import type { JobEntry } from "./job-entry.js";

/** Anything that may stand in a job's log. */
export type LoggedEntry = CaseEntry | JobEntry;

/** An entry with what is kept beside it. */
export interface StoredEntry {
  /** Place in the log; the first is 1, and none is missing. */
  readonly number: number;
  /** UUID made by whoever entered it. */
  readonly id: string;
  /** When it was put into the log, ISO 8601 in UTC. */
  readonly at: string;
  readonly entry: LoggedEntry;
}

/** Most entries of a log; the find engine takes no more. */
export const mostEntries = 5000;

/**
 * Numbers of the entries that are struck out. A strike works on what stands before it; striking a strike brings back
 * what that one took out, and a strike of something that does not stand before it does nothing. O(entries).
 */
export function struckNumbers(entries: readonly LoggedEntry[]): Set<number> {
  const struck = new Set<number>();
  for (let i = entries.length - 1; i >= 0; i -= 1) {
    const entry = entries[i];
    if (entry?.kind === "strike" && !struck.has(i + 1) && entry.entry <= i) struck.add(entry.entry);
  }
  return struck;
}
