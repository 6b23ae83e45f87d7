import type { JobDetail, JobSummary } from "../../app/api/jobs.js";
import { cut, padEnd, padStart, percent, wrap } from "../text.js";

const idShown = 8;

/** The jobs as a table: id, state, board, title, and the verdict or the leading suspect. */
export function renderJobList(jobs: readonly JobSummary[]): string[] {
  if (jobs.length === 0) return ["There are no jobs yet."];
  return jobs.flatMap((job) => {
    const head = `${job.id.slice(0, idShown)}  ${padEnd(job.state, 7)} ${padEnd(cut(job.boardTitle, 12), 13)}`;
    const line = `${head} ${cut(job.title, 78 - head.length)}`;
    return [line, ...wrap(outlookOf(job), " ".repeat(18))];
  });
}

/** A job and its log. */
export function renderJob({ job, log }: JobDetail): string[] {
  return [
    ...wrap(job.title),
    ...wrap(`${job.boardTitle}, ${job.state}, opened ${dayOf(job.openedAt)}, id ${job.id}`),
    ...wrap(outlookOf(job)),
    "",
    ...log.flatMap(({ number, text, struck }) =>
      wrap(struck ? `${text} (struck out)` : text, ` ${padStart(String(number), 4)}  `),
    ),
  ];
}

function outlookOf({ verdict, lead, entries }: JobSummary): string {
  if (verdict !== null)
    return verdict.part === undefined ? verdict.words : `${verdict.part}: ${verdict.words}`;
  const count = entries === 1 ? "1 entry" : `${entries} entries`;
  return lead === null ? count : `${count}; ${lead.part} leads with ${percent(lead.probability)}`;
}

function dayOf(moment: string): string {
  return moment.slice(0, 10);
}
