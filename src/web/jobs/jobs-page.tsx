import { type ReactNode, useEffect, useMemo } from "react";
import type { JobSummary } from "../../app/api/jobs.js";
import { percentText } from "../../core/draw/suspicion.js";
import { api } from "../net/api.js";
import { onStreamEvent } from "../net/live.js";
import { useLoaded } from "../net/load.js";
import { boardStore } from "../state/boards.js";
import { addressOf } from "../state/route.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { momentText } from "../ui/words.js";
import { BoardThumbnail } from "./board-thumbnail.jsx";

/** All jobs, those on the bench first. */
export function JobsPage(): ReactNode {
  const { value: jobs, problem, reload } = useLoaded("jobs", api.jobs);
  useEffect(
    () =>
      onStreamEvent((event) => {
        if (event.type === "job" || event.type === "hello") reload();
      }),
    [reload],
  );
  const open = (jobs ?? []).filter((job) => job.state === "open");
  const closed = (jobs ?? []).filter((job) => job.state === "closed");
  return (
    <main className="page jobs-page">
      <PageHead title="boardwake" below="the bench" back="nowhere" />
      <div className="jobs-begin">
        <a className="begin begin-main" href={addressOf({ page: "new-job" })}>
          <span className="begin-title">New job</span>
          <span>A machine has come in: say what it does, and be told where to probe first.</span>
        </a>
        <a className="begin" href={addressOf({ page: "practice" })}>
          <span className="begin-title">Practice</span>
          <span>A fault is hidden on a machine that cannot be hurt. Find it.</span>
        </a>
        <a className="begin" href={addressOf({ page: "boards" })}>
          <span className="begin-title">Boards</span>
          <span>Bring the board of your machine from a file, and name the chips nobody knows.</span>
        </a>
        <a className="begin" href={addressOf({ page: "tape" })}>
          <span className="begin-title">Tape</span>
          <span>Get the bytes off a worn tape, and make a clean recording that loads.</span>
        </a>
        <a className="begin" href={addressOf({ page: "deck" })}>
          <span className="begin-title">Deck</span>
          <span>Measure speed and flutter, set the head, find the belt.</span>
        </a>
      </div>
      {problem !== null && <ProblemNote problem={problem} onRetry={reload} />}
      {jobs === null && problem === null && <Waiting what="The jobs are being read" />}
      {jobs !== null && (
        <>
          <section aria-labelledby="open-jobs">
            <h1 id="open-jobs">On the bench</h1>
            {open.length === 0 ? (
              <p className="quiet">The bench is empty.</p>
            ) : (
              <ul className="job-cards">
                {open.map((job) => (
                  <JobCard key={job.id} job={job} />
                ))}
              </ul>
            )}
          </section>
          {closed.length > 0 && (
            <section aria-labelledby="closed-jobs">
              <h2 id="closed-jobs">Closed</h2>
              <ul className="job-cards">
                {closed.map((job) => (
                  <JobCard key={job.id} job={job} />
                ))}
              </ul>
            </section>
          )}
        </>
      )}
    </main>
  );
}

function JobCard({ job }: { readonly job: JobSummary }): ReactNode {
  const { board } = useStore(useMemo(() => boardStore(job.board), [job.board]));
  const { lead, verdict } = job;
  const marked = job.state === "closed" ? verdict?.part : lead?.part;
  return (
    <li>
      <a className="job-card" href={addressOf({ page: "job", job: job.id })}>
        <BoardThumbnail map={board} marked={marked} />
        <span className="job-card-words">
          <span className="job-card-title">{job.title}</span>
          <span className="quiet">
            {job.boardTitle}
            {job.demo && " · demonstration"} · {job.entries} entries · {momentText(job.changedAt, new Date())}
          </span>
          {job.state === "closed" ? (
            <span className="job-card-lead">
              {verdict?.part !== undefined && <span className="place">{verdict.part}</span>} {verdict?.words}
            </span>
          ) : lead === null ? (
            <span className="job-card-lead quiet">suspects not worked out yet</span>
          ) : (
            <span className="job-card-lead">
              <span className="place">{lead.part}</span> {lead.title}, {percentText(lead.probability)}
            </span>
          )}
        </span>
      </a>
    </li>
  );
}
