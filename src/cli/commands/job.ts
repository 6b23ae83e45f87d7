import type { Command } from "commander";
import { BoardKeeper } from "../../app/boards/board-keeper.js";
import { makeOwnBoard } from "../../app/boards/own-board.js";
import { maximumBoardBytes } from "../../app/import-board-files.js";
import { instrumentsNamed } from "../../app/instruments.js";
import { BenchBoards } from "../../app/jobs/bench-boards.js";
import { exportedText } from "../../app/jobs/export-job.js";
import { isInstrument, JobBook } from "../../app/jobs/job-book.js";
import { jobNamed } from "../../app/jobs/job-named.js";
import { Refusal } from "../../app/jobs/refusal.js";
import { understandLine } from "../../app/jobs/understand.js";
import { typesFileFor } from "../../app/own-types.js";
import type { JobStore } from "../../app/passed-in.js";
import { BoardwakeError } from "../../core/base/errors.js";
import { type CliContext, examples, exitCodes, printLines } from "../context.js";
import { renderJson } from "../json.js";
import { renderJob, renderJobList } from "../render/jobs.js";
import { sentence, wrap } from "../text.js";

interface DataOption {
  readonly data?: string;
}
interface JsonOption extends DataOption {
  readonly json?: true;
}
interface OpenOptions extends JsonOption {
  readonly board: string;
  readonly title: string;
  readonly instruments: string;
}
interface CloseOptions extends JsonOption {
  readonly part?: string;
  readonly words: string;
}
interface ExportOptions extends DataOption {
  readonly out?: string;
}

const jobText = "id of the job, the first four characters of it or more, or its title or the start of it";
const dataText = "folder of the job database";

/** Adds `boardwake job` with its subcommands. */
export function addJobCommands(program: Command, context: CliContext, end: (code: number) => void): void {
  const job = program
    .command("job")
    .summary("look at and add to the jobs of the bench page")
    .description("Looks at the jobs that the bench page keeps, and adds to them. The page shows it at once.");
  job
    .command("list")
    .summary("list the jobs")
    .description("Lists the jobs of the bench, newest first, with the leading suspect or the verdict.")
    .option("--data <folder>", dataText)
    .option("--json", "print the list as JSON")
    .addHelpText("after", examples("boardwake job list", "boardwake job list --json"))
    .action(async (options: JsonOption) => end(await list(context, options)));
  job
    .command("open")
    .summary("open a job on a board")
    .description(
      "Opens a job on a board and prints the job's id. A board file, netlist or layout is kept as a board of your own.",
    )
    .requiredOption("--board <board>", "id of a board on the bench, or a file of one")
    .requiredOption("--title <title>", "what the job is called")
    .option("--instruments <list>", "instruments at hand, separated by commas", "multimeter,logic-probe")
    .option("--data <folder>", dataText)
    .option("--json", "print the job as JSON")
    .addHelpText(
      "after",
      examples(
        'boardwake job open --board merrow --title "Merrow from the attic"',
        "boardwake job open --board merrow --title Attic --instruments multimeter",
        "boardwake job open --board attic.kicad_pcb --title Attic",
      ),
    )
    .action(async (options: OpenOptions) => end(await open(context, options)));
  job
    .command("show")
    .summary("show a job and its log")
    .description("Shows a job and its log, with the numbers of the entries.")
    .argument("<job>", jobText)
    .option("--data <folder>", dataText)
    .option("--json", "print the job as JSON")
    .addHelpText("after", examples("boardwake job show 8b1c", 'boardwake job show "Pellow 16"'))
    .action(async (name: string, options: JsonOption) => end(await show(context, name, options)));
  job
    .command("add")
    .summary("add an entry to a job's log")
    .description(
      "Adds an entry to a job's log, typed as in a session: a reading, a piece of work, a symptom, `undo`, or `strike` with a number. Before a line that begins with a minus, write --.",
    )
    .argument("<job>", jobText)
    .argument("<words...>", "the entry, as it is typed at the bench")
    .option("--data <folder>", dataText)
    .option("--json", "print what was added as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake job add 8b1c U12.6 pulsing",
        "boardwake job add 8b1c U3 swapped no change",
        "boardwake job add 8b1c undo",
        "boardwake job add 8b1c -- -5V absent",
      ),
    )
    .action(async (name: string, words: string[], options: JsonOption) =>
      end(await add(context, name, words.join(" "), options)),
    );
  job
    .command("close")
    .summary("close a job with its verdict")
    .description("Closes a job with the verdict: what was at fault, in your own words.")
    .argument("<job>", jobText)
    .requiredOption("--words <text>", "the verdict")
    .option("--part <part>", "the part that was at fault")
    .option("--data <folder>", dataText)
    .option("--json", "print what was added as JSON")
    .addHelpText(
      "after",
      examples(
        'boardwake job close 8b1c --part U12 --words "U12 replaced, works"',
        'boardwake job close 8b1c --words "Given back unrepaired"',
      ),
    )
    .action(async (name: string, options: CloseOptions) => end(await close(context, name, options)));
  job
    .command("export")
    .summary("write a job's log as a file that find reads")
    .description("Writes a job's log as `boardwake find --log` reads it.")
    .argument("<job>", jobText)
    .option("--out <file>", "file to write; without it the log is printed")
    .option("--data <folder>", dataText)
    .addHelpText("after", examples("boardwake job export 8b1c", "boardwake job export 8b1c --out case.json"))
    .action(async (name: string, options: ExportOptions) => end(await exportJob(context, name, options)));
}

/** Opens the jobs, does the work and closes them again. */
async function withJobs(
  context: CliContext,
  folder: string | undefined,
  work: (book: JobBook, jobs: JobStore) => number,
): Promise<number> {
  const { bench, store } = context;
  const jobs = await bench.openJobs(folder);
  try {
    return work(new JobBook(jobs, new BenchBoards(store, jobs), () => bench.now()), jobs);
  } finally {
    jobs.close();
  }
}

function list(context: CliContext, options: JsonOption): Promise<number> {
  const { io } = context;
  return withJobs(context, options.data, (book) => {
    const jobs = book.list();
    if (options.json === true) io.out(renderJson({ jobs, problems: [] }));
    else printLines(io, renderJobList(jobs));
    return exitCodes.done;
  });
}

function open(context: CliContext, options: OpenOptions): Promise<number> {
  const { io, bench } = context;
  const instruments = instrumentsNamed(options.instruments);
  const title = options.title.trim();
  if (title === "" || title.length > 200)
    throw new BoardwakeError("usage", { reason: "The title must have 1 to 200 characters." });
  return withJobs(context, options.data, (book, jobs) => {
    const { job, log, revision } = book.open({
      id: bench.newId(),
      board: boardFor(context, book, jobs, options.board),
      title,
      instruments,
      entries: [],
    });
    if (options.json === true) io.out(renderJson({ job, log, revision, problems: [] }));
    else printLines(io, [job.id]);
    return exitCodes.done;
  });
}

/**
 * Id of the board that a person names: one that is on the bench, or a file, which is then kept there as a board of one's
 * own. The same file gives the same version; a changed one, the next.
 */
function boardFor({ store, bench }: CliContext, book: JobBook, jobs: JobStore, name: string): string {
  if (book.boards.has(name) || !store.files.isFile(name)) return book.boards.get(name).board.id;
  const types = typesFileFor(name);
  const isBoardFile = name.toLowerCase().endsWith(".json");
  const paths = isBoardFile && store.files.isFile(types) ? [name, types] : [name];
  const made = makeOwnBoard(store, { files: paths.map((path) => store.files.read(path, maximumBoardBytes)) });
  const { board } = made.report;
  const isThere = book.boards.has(board) && book.boards.isOwn(board);
  const keeper = new BoardKeeper(jobs, book.boards, () => bench.now());
  return keeper.keep(made, isThere ? { as: board } : {}).id;
}

function show(context: CliContext, name: string, options: JsonOption): Promise<number> {
  const { io } = context;
  return withJobs(context, options.data, (book) => {
    const { job, log, revision } = book.detail(jobNamed(book.list(), name).id);
    if (options.json === true) io.out(renderJson({ job, log, revision, problems: [] }));
    else printLines(io, renderJob({ job, log, revision }));
    return exitCodes.done;
  });
}

function add(context: CliContext, name: string, text: string, options: JsonOption): Promise<number> {
  return withJobs(context, options.data, (book) => {
    const { id } = jobNamed(book.list(), name);
    const { state } = book.read(id);
    const understood = understandLine(book.boards.ofJob(state), state.instruments.filter(isInstrument), text);
    switch (understood.outcome) {
      case "problem": {
        const { problem, hint } = understood;
        throw new Refusal({
          code: "not-understood",
          severity: "error",
          message: problem,
          where: {},
          ...(hint === undefined ? {} : { hint }),
        });
      }
      case "entry":
        return addEntry(context, book, id, understood.entry, options.json === true);
      case "command": {
        const number = understood.command === "undo" ? lastStanding(book, id) : understood.entry;
        if (number === undefined)
          throw new BoardwakeError("usage", {
            reason:
              understood.command === "undo"
                ? "No entry is left to be taken back."
                : `'${understood.command}' is no entry; 'boardwake job show' shows the log.`,
          });
        return addEntry(context, book, id, { kind: "strike", entry: number }, options.json === true);
      }
    }
  });
}

function close(context: CliContext, name: string, options: CloseOptions): Promise<number> {
  const { words, part } = options;
  if (words.trim() === "" || words.length > 2000)
    throw new BoardwakeError("usage", { reason: "The verdict must have 1 to 2000 characters." });
  return withJobs(context, options.data, (book) => {
    const { id } = jobNamed(book.list(), name);
    const verdict = { words: words.trim(), ...(part === undefined ? {} : { part }) };
    return addEntry(context, book, id, { kind: "job-closed", verdict }, options.json === true);
  });
}

function exportJob(context: CliContext, name: string, options: ExportOptions): Promise<number> {
  const { io, store } = context;
  return withJobs(context, options.data, (book) => {
    const text = exportedText(book.read(jobNamed(book.list(), name).id).state);
    if (options.out === undefined) io.out(text);
    else {
      if (store.files.isFile(options.out))
        throw new BoardwakeError("file-unwritable", { file: options.out, reason: "it is there already" });
      store.files.write([{ file: options.out, text }]);
      io.err(`Written to ${options.out}\n`);
    }
    return exitCodes.done;
  });
}

function addEntry(
  { io, bench }: CliContext,
  book: JobBook,
  id: string,
  entry: Parameters<JobBook["add"]>[1]["entry"],
  isJson: boolean,
): number {
  const { line } = book.add(id, { id: bench.newId(), entry });
  const { number, text } = line;
  if (isJson) io.out(renderJson({ number, text, entry: line.entry, problems: [] }));
  else printLines(io, wrap(sentence(text), `${number}  `));
  return exitCodes.done;
}

/** The last entry that stands, as `undo` takes it back; never the one that opens the job. */
function lastStanding(book: JobBook, id: string): number | undefined {
  const { entries, state } = book.read(id);
  return entries
    .filter(({ number, entry }) => number > 1 && entry.kind !== "strike" && !state.struck.has(number))
    .at(-1)?.number;
}
