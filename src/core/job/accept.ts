import type { Problem } from "../base/problem.js";
import { type LoggedEntry, mostEntries } from "./job-log.js";
import type { JobState } from "./job-state.js";

/**
 * Why an entry may not be added to a job's log as it stands; undefined if it may. Looks only at the log: whether the
 * places it names are on the board is for others to say.
 * Codes: `log-full`, `job-closed`, `job-open`, `unknown-entry`, `entry-struck`, `opening-entry`, `board-fixed`.
 */
export function whyRefused(
  state: JobState,
  entries: readonly LoggedEntry[],
  entry: LoggedEntry,
): Problem | undefined {
  if (state.revision >= mostEntries)
    return refusal(
      "log-full",
      `The log holds ${mostEntries} entries, and no more fit.`,
      "Close it and open another job.",
    );
  switch (entry.kind) {
    case "strike":
      return whyStrikeRefused(state, entries, entry.entry);
    case "job-setup":
      if (entry.board === undefined || entry.board === state.board) break;
      return refusal(
        "board-fixed",
        `The job is on board '${state.board}', and its log cannot move to '${entry.board}'.`,
        "Open a new job for the other board.",
        "entry.board",
      );
    case "job-reopened":
      if (!state.isOpen) return undefined;
      return refusal("job-open", "The job is open already.", "Go on with it.");
    case "note":
    case "photo":
      return undefined;
    default:
      break;
  }
  return state.isOpen ? undefined : closed();
}

function whyStrikeRefused(
  state: JobState,
  entries: readonly LoggedEntry[],
  wanted: number,
): Problem | undefined {
  const target = entries[wanted - 1];
  if (target === undefined)
    return refusal(
      "unknown-entry",
      `There is no entry ${wanted} to strike out; the log has ${entries.length}.`,
      "Look its number up in the log.",
      "entry.entry",
    );
  if (wanted === 1)
    return refusal(
      "opening-entry",
      "Entry 1 opens the job and cannot be struck out.",
      "Change the job instead.",
      "entry.entry",
    );
  if (state.struck.has(wanted))
    return refusal(
      "entry-struck",
      `Entry ${wanted} is struck out already.`,
      "To bring it back, strike out the entry that struck it.",
      "entry.entry",
    );
  return state.isOpen || wanted === state.closedBy ? undefined : closed();
}

function closed(): Problem {
  return refusal("job-closed", "The job is closed, so nothing was added.", "Open it again first.");
}

function refusal(code: string, message: string, hint: string, field = "entry"): Problem {
  return { code, severity: "error", message, where: { field }, hint };
}
