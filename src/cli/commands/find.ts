import type { Command } from "commander";
import { openLog } from "../../app/find-faults.js";
import { instrumentsNamed } from "../../app/instruments.js";
import { listSymptoms } from "../../app/list-symptoms.js";
import { type LoadedBoard, loadBoard } from "../../app/load-board.js";
import { findOutput } from "../../app/output/find-output.js";
import { symptomsOutput } from "../../app/output/other-output.js";
import type { TextFile } from "../../app/passed-in.js";
import { maximumLogBytes } from "../../app/read-log.js";
import { usage } from "../../app/usage.js";
import type { Case } from "../../core/find/case/case.js";
import {
  type CliContext,
  examples,
  exitCodes,
  paintFor,
  printLines,
  refuseInput,
  reportProblems,
  sayWorking,
} from "../context.js";
import { renderJson } from "../json.js";
import { renderFound } from "../render/found.js";
import { renderSymptoms } from "../render/symptoms.js";
import { LiveSession } from "../session/live-session.js";

interface FindOptions {
  readonly board?: string;
  readonly log?: string;
  readonly symptoms?: true;
  readonly instruments?: string;
  readonly live?: true;
  readonly json?: true;
}

/** Adds `boardwake find`. */
export function addFindCommand(program: Command, context: CliContext, end: (code: number) => void): void {
  program
    .command("find")
    .summary("find the faulty part, from a log or step by step")
    .description(
      "Works out which part is at fault. With a log it prints the suspects and the next steps; without one it leads through a session: symptoms, safety, then one step after the other.",
    )
    .option("--board <board>", "an installed board, a board file, or a KiCad netlist (.net)")
    .option("--log <file>", "log of what was seen and done (JSON); - reads it from the input stream")
    .option("--live", "go on from the log step by step")
    .option("--instruments <list>", "instruments at hand, separated by commas; replaces those of the log")
    .option("--symptoms", "list the symptoms a log can name, with a board only those of that board")
    .option("--json", "print the result as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake find --board pellow-16",
        "boardwake find --board pellow-16 --log case.json",
        "boardwake find --board machine.net --log case.json --json",
        "boardwake find --symptoms --board merrow",
      ),
    )
    .action(async (options: FindOptions) => end(await find(context, options)));
}

async function find(context: CliContext, options: FindOptions): Promise<number> {
  const { io, store } = context;
  const isJson = options.json === true;
  checkOptions(options);
  const instruments = options.instruments === undefined ? undefined : instrumentsNamed(options.instruments);
  const loaded = options.board === undefined ? undefined : loadBoard(store, options.board);
  if (loaded !== undefined && loaded.value === undefined) return refuseInput(io, loaded.problems, isJson);
  if (options.symptoms === true) return symptoms(context, loaded?.value, isJson);
  if (loaded?.value === undefined) throw usage("'find' needs a board: --board <board>.");
  reportProblems(io, loaded.problems);
  const file = options.log === undefined ? undefined : await readLogText(context, options.log);
  return work(context, loaded.value, {
    ...(file === undefined ? {} : { file }),
    ...(instruments === undefined ? {} : { instruments }),
    isLive: file === undefined || options.live === true,
    isJson,
  });
}

interface FindWork {
  readonly file?: TextFile;
  readonly instruments?: Case["instruments"];
  readonly isLive: boolean;
  readonly isJson: boolean;
}

async function work(context: CliContext, loaded: LoadedBoard, options: FindWork): Promise<number> {
  const { io } = context;
  sayWorking(io);
  const { value: session, problems } = openLog(context.store, loaded, options);
  if (session === undefined) return refuseInput(io, problems, options.isJson);
  reportProblems(io, problems);
  if (options.isLive) {
    const asksInstruments = options.file === undefined && options.instruments === undefined;
    return new LiveSession(context, session, options.file?.file).run({ asksInstruments });
  }
  if (options.isJson) io.out(renderJson(findOutput(session, problems)));
  else printLines(io, renderFound(session, paintFor(io)));
  return exitCodes.done;
}

function symptoms({ io, store }: CliContext, loaded: LoadedBoard | undefined, isJson: boolean): number {
  const listed = listSymptoms(store, loaded?.board);
  if (isJson) io.out(renderJson(symptomsOutput(listed)));
  else printLines(io, renderSymptoms(listed, paintFor(io)));
  return exitCodes.done;
}

function checkOptions({ symptoms: isList, log, live, json }: FindOptions): void {
  if (isList === true && log !== undefined) throw usage("--symptoms lists symptoms and takes no log.");
  if (isList === true) return;
  if (live === true && json === true) throw usage("--live is for a terminal and does not go with --json.");
  if (live === true && log === "-")
    throw usage("--live needs the input stream for answers; give the log as a file.");
  if (json === true && log === undefined)
    throw usage("--json needs a log: --log <file>, or --log - for the input stream.");
}

async function readLogText({ io, store }: CliContext, path: string): Promise<TextFile> {
  if (path === "-") return { file: "input stream", text: await io.readAll(maximumLogBytes) };
  return store.files.read(path, maximumLogBytes);
}
