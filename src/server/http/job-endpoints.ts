import { z } from "zod";
import { logEntrySchema, newEntrySchema } from "../../app/api/entry.js";
import { findingsSchema } from "../../app/api/findings.js";
import {
  closeJobSchema,
  entryAnswerSchema,
  jobDetailSchema,
  jobSummarySchema,
  newJobSchema,
  reopenJobSchema,
  understandSchema,
  understoodSchema,
} from "../../app/api/jobs.js";
import { partPageSchema } from "../../app/api/part-page.js";
import { doneSchema, revisionSchema } from "../../app/api/shapes.js";
import { whyPageSchema } from "../../app/api/why-page.js";
import { exportedCase, exportName } from "../../app/jobs/export-job.js";
import { isInstrument } from "../../app/jobs/job-book.js";
import { partNamed } from "../../app/jobs/part-named.js";
import { understandLine } from "../../app/jobs/understand.js";
import type { Bench } from "../bench.js";
import { type Endpoint, endpoint, type Reply, takesNothing } from "./endpoint.js";

/** A tap waits no longer than this for its findings; later ones come over the stream. */
const tapMilliseconds = 250;

const jobId = z.object({ id: z.string().max(80) });
const jobPart = z.object({ id: z.string().max(80), ref: z.string().max(80) });

async function addEntry(
  bench: Bench,
  job: string,
  entry: z.output<typeof newEntrySchema>,
): Promise<Reply<z.input<typeof entryAnswerSchema>>> {
  const added = bench.book.add(job, entry);
  if (added.isNew) bench.tellJob(job);
  const findings = await bench.desk.soon(job, tapMilliseconds);
  const { number } = added.line;
  return { body: { revision: added.job.state.revision, number, line: added.line, findings } };
}

/** The engine's order for a page about one part. */
function partOrder(bench: Bench, job: string, ref: string) {
  return { ...bench.book.order(job), ref: partNamed(bench.book.boardOf(job), ref) };
}

/** Jobs, their logs, and what follows from them. */
export const jobEndpoints: readonly Endpoint[] = [
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs",
      summary: "All jobs, newest first",
      tag: "jobs",
      access: "paired",
      answer: z.array(jobSummarySchema),
      errors: [],
    },
    ({ book }) => ({ body: book.list() }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs",
      summary: "Open a job; sent twice with the same id, it is opened once",
      tag: "jobs",
      access: "paired",
      body: newJobSchema,
      answer: jobDetailSchema,
      errors: ["board-unknown", "entry-conflict"],
    },
    (bench, { body }) => {
      const detail = bench.book.open(body);
      bench.tellJob(detail.job.id);
      bench.desk.findings(detail.job.id).catch(() => {});
      return { body: detail };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}",
      summary: "A job with its log",
      tag: "jobs",
      access: "paired",
      params: jobId,
      answer: jobDetailSchema,
      errors: ["job-unknown"],
    },
    ({ book }, { params }) => ({ body: book.detail(params.id) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/findings",
      summary: "What the log comes to: suspects and next steps; waits until it is worked out",
      tag: "jobs",
      access: "paired",
      params: jobId,
      query: z.object({
        revision: z
          .string()
          .regex(/^\d{1,6}$/)
          .optional()
          .describe("Revision the caller knows of; the answer is always of the log as it stands."),
      }),
      answer: findingsSchema,
      errors: ["job-unknown", "work-cancelled"],
    },
    async ({ desk }, { params }) => ({ body: await desk.findings(params.id) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/entries",
      summary: "Add an entry to the log; on the disk when this is answered. Sent twice, it is added once",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: newEntrySchema,
      answer: entryAnswerSchema,
      errors: ["job-unknown", "entry-conflict"],
    },
    (bench, { params, body }) => addEntry(bench, params.id, body),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/understand",
      summary: "What a typed line would mean, and what it may grow into; changes nothing",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: understandSchema,
      answer: understoodSchema,
      errors: ["job-unknown"],
    },
    ({ book }, { params, body }) => {
      const instruments = book.read(params.id).state.instruments.filter(isInstrument);
      return { body: understandLine(book.boardOf(params.id), instruments, body.text) };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/parts/{ref}",
      summary: "A part's legs: what each should show, and would show for the leading suspects",
      tag: "jobs",
      access: "paired",
      params: jobPart,
      answer: partPageSchema,
      errors: ["job-unknown", "part-unknown", "work-cancelled"],
    },
    async (bench, { params }) => {
      const order = partOrder(bench, params.id, params.ref);
      return { body: await bench.parts.engine.run("part", order, { key: `page:${params.id}` }) };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/suspects/{ref}",
      summary: "Why a part is suspected, and what would clear it",
      tag: "jobs",
      access: "paired",
      params: jobPart,
      answer: whyPageSchema,
      errors: ["job-unknown", "part-unknown", "work-cancelled"],
    },
    async (bench, { params }) => {
      const order = partOrder(bench, params.id, params.ref);
      return { body: await bench.parts.engine.run("why", order, { key: `page:${params.id}` }) };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/close",
      summary: "Close the job with its verdict",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: closeJobSchema,
      answer: entryAnswerSchema,
      errors: ["job-unknown", "entry-conflict"],
    },
    (bench, { params, body: { id, verdict } }) =>
      addEntry(bench, params.id, { id, entry: { kind: "job-closed", verdict } }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/reopen",
      summary: "Open a closed job again",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: reopenJobSchema,
      answer: entryAnswerSchema,
      errors: ["job-unknown", "entry-conflict"],
    },
    (bench, { params, body: { id, why } }) =>
      addEntry(bench, params.id, {
        id,
        entry: { kind: "job-reopened", ...(why === undefined ? {} : { why }) },
      }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/export",
      summary: "The log as `boardwake find --log` reads it",
      tag: "jobs",
      access: "paired",
      params: jobId,
      answer: z.looseObject({ entries: z.array(logEntrySchema) }),
      errors: ["job-unknown"],
    },
    ({ book }, { params }) => {
      const { state } = book.read(params.id);
      const disposition = `attachment; filename="${exportName(state)}"`;
      return { body: exportedCase(state), headers: { "content-disposition": disposition } };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/cancel",
      summary: "Stop what is being worked out for a job",
      tag: "jobs",
      access: "paired",
      params: jobId,
      answer: doneSchema.extend({ revision: revisionSchema }),
      errors: ["job-unknown"],
    },
    ({ book, desk, parts }, { params }) => {
      const { state } = book.read(params.id);
      desk.cancel(params.id);
      parts.engine.cancel(`page:${params.id}`);
      parts.practiceEngine.cancel(`build:${params.id}`);
      return { body: { done: true as const, revision: state.revision } };
    },
  ),
];
