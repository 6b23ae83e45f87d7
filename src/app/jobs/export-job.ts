import type { Case } from "../../core/find/case/case.js";
import type { JobState } from "../../core/job/job-state.js";
import { renderLog } from "../log-text.js";

/** The log of a job as `boardwake find --log` reads it: what concerns the job itself becomes notes. */
export function exportedCase(state: JobState): Case {
  return state.case;
}

/** The same as the text of a file. */
export function exportedText(state: JobState): string {
  return renderLog(exportedCase(state));
}

/** A file name for it: letters, digits and dashes of the title. */
export function exportName(state: JobState): string {
  const stem = state.title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60);
  return `${stem === "" ? "job" : stem}.json`;
}
