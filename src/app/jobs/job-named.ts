import { BoardwakeError } from "../../core/base/errors.js";
import { nearestName } from "../../core/base/nearest.js";
import type { JobSummary } from "../api/jobs.js";

const shortestStart = 4;

/**
 * The job a person names: by its id, by at least four characters of its start, or by its title or a start of it in any
 * case. Throws `job-unknown`, with the nearest title or with all that were meant.
 */
export function jobNamed(jobs: readonly JobSummary[], name: string): JobSummary {
  const wanted = name.trim().toLowerCase();
  const exact = jobs.filter(({ id, title }) => id === wanted || title.toLowerCase() === wanted);
  const begun = jobs.filter(
    ({ id, title }) =>
      (wanted.length >= shortestStart && id.startsWith(wanted)) ||
      (wanted !== "" && title.toLowerCase().startsWith(wanted)),
  );
  const found = exact.length > 0 ? exact : begun;
  const [only] = found;
  if (only !== undefined && found.length === 1) return only;
  throw new BoardwakeError("job-unknown", { job: name, hint: hintFor(wanted, jobs, found) });
}

function hintFor(name: string, jobs: readonly JobSummary[], found: readonly JobSummary[]): string {
  if (found.length > 1) {
    const several = found.slice(0, 5).map(({ id, title }) => `${id} (${title})`);
    return ` That could be any of ${several.join(", ")}: give the id.`;
  }
  if (jobs.length === 0) return " There are no jobs yet.";
  const titles = jobs.map(({ title }) => title);
  const near = nearestName(
    name,
    titles.map((title) => title.toLowerCase()),
  );
  const title = titles.find((one) => one.toLowerCase() === near);
  return title === undefined ? " 'boardwake job list' shows them." : ` Did you mean '${title}'?`;
}
