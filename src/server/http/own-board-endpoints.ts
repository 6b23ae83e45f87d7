import { z } from "zod";
import { boardDetailSchema } from "../../app/api/boards.js";
import {
  boardDiffSchema,
  boardVersionSchema,
  importReportSchema,
  keptVersionSchema,
  madeBoardSchema,
  mostUploadBytes,
  newBoardSchema,
  programSchema,
} from "../../app/api/own-boards.js";
import { doneSchema } from "../../app/api/shapes.js";
import { boardDetail } from "../../app/jobs/board-views.js";
import type { Bench } from "../bench.js";
import { type Endpoint, endpoint, takesNothing } from "./endpoint.js";

const boardId = z.object({ id: z.string().max(80) });
const jobId = z.object({ id: z.string().max(80) });
const versionText = z
  .string()
  .regex(/^\d{1,6}$/)
  .describe("Number of a version.");
const versionQuery = z.object({ version: versionText.optional() });
const diffQuery = z.object({ before: versionText, after: versionText });

function numberOf(version: string | undefined): number | undefined {
  return version === undefined ? undefined : Number(version);
}

let imports = 0;

async function makeBoard(
  { parts, keeper, hub }: Bench,
  { files, corrections, keep, as, title, note }: z.output<typeof newBoardSchema>,
): Promise<z.input<typeof madeBoardSchema>> {
  imports += 1;
  // Not the jobs' engine: a large layout would hold up every tap for a second.
  const made = await parts.practiceEngine.run(
    "import",
    {
      files: files.map(({ name, text }) => ({ file: name, text })),
      ...(corrections === undefined ? {} : { corrections }),
    },
    { key: `import:${imports}` },
  );
  const kept = keep ? keeper.keep(made, { as, title, note }) : null;
  if (kept !== null) hub.send({ type: "boards" });
  // What the thread answers is plain data of the same form; the schema makes the lists changeable again.
  return { kept, report: importReportSchema.parse(made.report) };
}

/** Boards of one's own: brought in, kept in versions, compared, taken out again. */
export const ownBoardEndpoints: readonly Endpoint[] = [
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/boards",
      summary: "Make a board of netlists, layouts or a board file; tell what was recognised, and keep it",
      tag: "boards",
      access: "paired",
      body: newBoardSchema,
      mostBytes: mostUploadBytes,
      answer: madeBoardSchema,
      errors: ["board-unknown", "too-busy"],
    },
    async (bench, { body }) => ({ body: await makeBoard(bench, body) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/boards/{id}/versions",
      summary: "Versions of a board of one's own, oldest first, with what each import said",
      tag: "boards",
      access: "paired",
      params: boardId,
      answer: z.array(boardVersionSchema),
      errors: ["board-unknown"],
    },
    ({ keeper }, { params }) => ({ body: boardVersionSchema.array().parse(keeper.versions(params.id)) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/boards/{id}/diff",
      summary: "How one version of a board of one's own differs from another",
      tag: "boards",
      access: "paired",
      params: boardId,
      query: diffQuery,
      answer: boardDiffSchema,
      errors: ["board-unknown"],
    },
    ({ keeper }, { params, query }) => ({
      body: boardDiffSchema.parse(keeper.diff(params.id, Number(query.before), Number(query.after))),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/boards/{id}/file",
      summary: "The board file, to be kept or given to others",
      tag: "boards",
      access: "paired",
      params: boardId,
      query: versionQuery,
      answer: z.unknown().describe("A board file."),
      errors: ["board-unknown"],
    },
    ({ keeper }, { params, query }) => ({
      raw: {
        type: "application/json; charset=utf-8",
        bytes: keeper.file(params.id, numberOf(query.version)),
      },
      headers: attachment(`${params.id}.json`),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/boards/{id}/types",
      summary: "The file of part types that belong to a board of one's own alone",
      tag: "boards",
      access: "paired",
      params: boardId,
      query: versionQuery,
      answer: z.unknown().describe("A file of part types."),
      errors: ["board-unknown"],
    },
    ({ keeper }, { params, query }) => ({
      raw: {
        type: "application/json; charset=utf-8",
        bytes: keeper.typesFile(params.id, numberOf(query.version)),
      },
      headers: attachment(`${params.id}.types.json`),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/boards/{id}/program",
      summary: "Say what a programmed part does, by its fuses or equations; adds a version of the board",
      tag: "boards",
      access: "paired",
      params: boardId,
      body: programSchema,
      answer: keptVersionSchema,
      errors: ["board-unknown"],
    },
    ({ keeper, hub }, { params, body }) => {
      const kept = keeper.program(params.id, body);
      hub.send({ type: "boards" });
      return { body: kept };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "DELETE",
      path: "/boards/{id}",
      summary: "Take a board of one's own away with all its versions; refused while a job is on it",
      tag: "boards",
      access: "paired",
      params: boardId,
      answer: doneSchema,
      errors: ["board-unknown", "input-invalid"],
    },
    ({ keeper, book, hub }, { params }) => {
      keeper.remove(
        params.id,
        book.list().flatMap(({ board, title }) => (board === params.id ? [title] : [])),
      );
      hub.send({ type: "boards" });
      return { body: { done: true as const } };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/board",
      summary: "The board of a job, with what was measured of its wiring worked in",
      tag: "jobs",
      access: "paired",
      params: jobId,
      query: z.object({
        facts: z.string().max(4000).optional().describe("As the job's `drawing` has it; not looked at."),
      }),
      answer: boardDetailSchema,
      errors: ["job-unknown", "board-unknown"],
    },
    ({ book, parts }, { params }) => ({ body: boardDetail(parts.store, book.boardOf(params.id)) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/board-file",
      summary: "The board of a job as a board file, with what was measured of its wiring worked in",
      tag: "jobs",
      access: "paired",
      params: jobId,
      answer: z.unknown().describe("A board file."),
      errors: ["job-unknown", "board-unknown"],
    },
    ({ book, keeper }, { params }) => {
      const { board } = book.boardOf(params.id);
      return {
        raw: { type: "application/json; charset=utf-8", bytes: keeper.render(board) },
        headers: attachment(`${board.id}.json`),
      };
    },
  ),
];

/** Ids of boards are letters, digits and dashes; anything else is taken out of a file name. */
function attachment(name: string): Readonly<Record<string, string>> {
  return { "content-disposition": `attachment; filename="${name.replace(/[^a-zA-Z0-9.-]/g, "-")}"` };
}
