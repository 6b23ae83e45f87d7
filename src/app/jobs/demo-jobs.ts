import { z } from "zod";
import { BoardwakeError } from "../../core/base/errors.js";
import { renderProblem } from "../../core/base/problem.js";
import { readCheckedJson } from "../../core/board/read/schema-problems.js";
import { instruments } from "../../core/find/case/case.js";
import type { JobStore } from "../../store/jobs/job-store.js";
import type { Store } from "../../store/store.js";
import type { TextFile } from "../../store/text-file.js";
import { logEntrySchema } from "../api/entry.js";
import { clientIdSchema } from "../api/shapes.js";
import type { BenchBoards } from "./bench-boards.js";
import { JobBook } from "./job-book.js";

/** A job that comes with the program, with the moments at which its entries were made. */
export const demoJobSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  id: clientIdSchema,
  board: z.string().describe("Id of the board."),
  title: z.string().min(1),
  instruments: z.array(z.enum(instruments)),
  year: z.number().int().optional().describe("Year of the repair."),
  openedAt: z.iso.datetime().describe("When it was opened, in UTC."),
  entries: z
    .array(
      z.strictObject({
        after: z.number().min(0).describe("Minutes since it was opened."),
        entry: logEntrySchema,
      }),
    )
    .min(1)
    .describe("In the order in which they were made."),
});

const minuteMilliseconds = 60_000;
const settingName = "demo-jobs";

/**
 * Puts the jobs that come with the program into a database that has never had them; true if it did. A database that
 * has had them, or holds jobs of its own, is left alone. Throws `data-broken` for a file that does not have its form.
 */
export function addDemoJobs(store: Store, jobs: JobStore, boards: BenchBoards): boolean {
  if (jobs.setting(settingName) !== undefined) return false;
  if (jobs.jobs().length > 0) {
    jobs.change((write) => write.setSetting(settingName, "not wanted"));
    return false;
  }
  const demos = store.data.demoJobs().map(readDemo);
  jobs.change((write) => {
    for (const demo of demos) addDemoJob(jobs, boards, demo);
    write.setSetting(settingName, "added");
  });
  return true;
}

function readDemo({ file, text }: TextFile): z.infer<typeof demoJobSchema> {
  const { value, problems } = readCheckedJson(text, demoJobSchema, { file });
  const [problem] = problems;
  if (value === undefined)
    throw new BoardwakeError("data-broken", {
      file,
      problem: problem === undefined ? "it holds no job." : renderProblem({ ...problem, where: {} }),
    });
  return value.value;
}

function addDemoJob(jobs: JobStore, boards: BenchBoards, demo: z.infer<typeof demoJobSchema>): void {
  const opened = Date.parse(demo.openedAt);
  let at = opened;
  const book = new JobBook(jobs, boards, () => new Date(at).toISOString());
  const { id, board, title, year } = demo;
  book.open({ id, board, title, instruments: demo.instruments, year, entries: [] }, true);
  for (const [i, { after, entry }] of demo.entries.entries()) {
    at = opened + after * minuteMilliseconds;
    book.add(id, { id: demoEntryId(id, i + 2), entry });
  }
}

/** Ids of the entries of a demo job: its own with the number of the entry in the last twelve digits. */
function demoEntryId(job: string, number: number): string {
  return `${job.slice(0, 24)}${number.toString(16).padStart(12, "0")}`;
}
