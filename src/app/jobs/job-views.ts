import { z } from "zod";
import type { StoredEntry } from "../../core/job/job-log.js";
import { describeJobEntry, isJobEntry, type JobState } from "../../core/job/job-state.js";
import type { StoredJob } from "../../store/jobs/job-store.js";
import type { LogLine } from "../api/entry.js";
import type { JobDetail, JobSummary } from "../api/jobs.js";
import { jobSummarySchema } from "../api/jobs.js";
import { describeEntry } from "../describe-entry.js";
import type { ListedSymptom } from "../list-symptoms.js";
import type { BenchBoard } from "./bench-boards.js";

/** What is kept of a job beside its log so that the list of jobs need not read every log. */
const summaryTextSchema = z.strictObject({
  board: z.string(),
  title: z.string(),
  isOpen: z.boolean(),
  verdict: jobSummarySchema.shape.verdict,
});
type SummaryText = z.infer<typeof summaryTextSchema>;

const leadTextSchema = jobSummarySchema.shape.lead;

/** Text of a summary, to be kept beside the log. */
export function summaryText(state: JobState): string {
  const { board, title, isOpen, verdict } = state;
  return JSON.stringify({ board, title, isOpen, verdict: verdict ?? null } satisfies SummaryText);
}

/** Text of the leading suspect, to be kept beside the log. */
export function leadText(lead: JobSummary["lead"]): string {
  return JSON.stringify(lead);
}

/** The kept summary if it is of the log as it stands and of a form we know; else it is to be derived again. */
export function readSummary({ summary, revision }: StoredJob): SummaryText | undefined {
  return summary?.revision === revision ? readKept(summaryTextSchema, summary.text) : undefined;
}

function readKept<T>(schema: z.ZodType<T>, text: string): T | undefined {
  try {
    return schema.safeParse(JSON.parse(text)).data;
  } catch {
    return undefined;
  }
}

/** A job as the list shows it. */
export function summaryOf(
  stored: StoredJob,
  { board, title, isOpen, verdict }: SummaryText,
  boardTitle: string,
): JobSummary {
  return {
    id: stored.id,
    board,
    boardTitle,
    title,
    state: isOpen ? "open" : "closed",
    openedAt: stored.openedAt,
    changedAt: stored.changedAt,
    entries: stored.revision,
    revision: stored.revision,
    lead: stored.lead === undefined ? null : (readKept(leadTextSchema, stored.lead.text) ?? null),
    verdict,
    demo: stored.isDemo,
  };
}

/** A job with its log as the page shows it; without `bench` where its board is not there any more. */
export function detailOf(
  summary: JobSummary,
  {
    id,
    state,
    entries,
  }: { readonly id: string; readonly state: JobState; readonly entries: readonly StoredEntry[] },
  bench: BenchBoard | undefined,
): JobDetail {
  return {
    job: {
      ...summary,
      boardVersion: state.boardVersion ?? null,
      drawing: drawingOf(id, state),
      instruments: [...state.instruments],
      spares: [...state.spares],
      year: state.year ?? null,
      priorFactors: { ...state.priorFactors },
      cannot: state.cannot.map((one) => ({ ...one })),
    },
    log: entries.map((entry) => lineOf(entry, state, bench?.symptoms ?? [])),
    revision: state.revision,
  };
}

/** Address of the board of a job: that of the board itself as long as nothing was measured of its wiring. */
function drawingOf(id: string, { board, boardVersion, connections }: JobState): string {
  if (connections.length > 0) {
    const facts = connections.map(({ entry }) => entry).join(".");
    return `/jobs/${id}/board?facts=${facts}-${boardVersion ?? 0}`;
  }
  const version = boardVersion === undefined ? "" : `?version=${boardVersion}`;
  return `/boards/${encodeURIComponent(board)}${version}`;
}

/** An entry of a log as it is shown. */
export function lineOf(
  { number, id, at, entry }: StoredEntry,
  state: JobState,
  symptoms: readonly ListedSymptom[],
): LogLine {
  const text = isJobEntry(entry) ? describeJobEntry(entry) : describeEntry(entry, symptoms);
  return { number, id, at, entry, text, struck: state.struck.has(number) };
}
