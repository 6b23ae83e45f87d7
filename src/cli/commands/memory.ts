import { type Command, InvalidArgumentError } from "commander";
import { addToLog } from "../../app/add-to-log.js";
import { loadBoard } from "../../app/load-board.js";
import { explainMemory, maximumFailureBytes, memoryTestEntry } from "../../app/memory-explain.js";
import { simulateMarch } from "../../app/memory-simulate.js";
import { explainOutput, simulateOutput } from "../../app/output/memory-output.js";
import {
  type CliContext,
  examples,
  exitCodes,
  paintFor,
  printLines,
  refuseInput,
  reportProblems,
} from "../context.js";
import { renderJson } from "../json.js";
import { renderExplained, renderSimulated } from "../render/memory.js";
import { addFreeRunCommand } from "./memory-free-run.js";
import { addMemoryRomCommands } from "./memory-rom.js";

/** Adds `boardwake memory` with its subcommands. */
export function addMemoryCommands(program: Command, context: CliContext, end: (code: number) => void): void {
  const memory = program
    .command("memory")
    .summary("what failing addresses say, what memory tests catch")
    .description("Works on memory: from failing addresses to parts, and tests against faults.");
  memory
    .command("explain")
    .summary("from failing addresses to the part at fault")
    .description(
      "Ranks what can explain failing addresses, through the board's memory map: chips, address and data lines, strobes, refresh. Each line of the list holds address, expected and read, in hexadecimal.",
    )
    .requiredOption("--board <board>", "an installed board, a board file, or a KiCad netlist (.net)")
    .requiredOption("--fails <file>", "failing addresses (CSV or text); - reads them from the input stream")
    .option(
      "--tested <ranges>",
      "addresses that were tested, as 2000-3FFF,8000-FFFF; all memory if not given",
    )
    .option("--into <log>", "also adds what was found, as evidence, to this log for 'boardwake find'")
    .option("--json", "print the explanations as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake memory explain --board pellow-16 --fails fails.csv",
        "boardwake memory explain --board merrow --fails - --tested 2000-3FFF --json",
        "boardwake memory explain --board merrow --fails fails.csv --into case.json",
      ),
    )
    .action(async (options: ExplainOptions) => end(await explain(context, options)));
  memory
    .command("simulate")
    .summary("which faults a march test catches")
    .description(
      "Simulates a march test against every fault of every kind in a small memory and counts those that it always catches.",
    )
    .requiredOption("--march <test>", "name of a march test, or a test in notation, as '^(w0);^(r0,w1)'")
    .option("--cells <count>", "words of the memory", wholeNumber, 5)
    .option("--width <bits>", "bits of a word", wholeNumber, 1)
    .option("--backgrounds <list>", "hexadecimal words written as 0, separated by commas")
    .option("--seed <number>", "for the initial contents where not all can be tried", wholeNumber, 1)
    .option("--json", "print caught and total by class as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake memory simulate --march march-c-",
        "boardwake memory simulate --march '*(w0);^(r0,w1);v(r1,w0)' --cells 3 --json",
        "boardwake memory simulate --march march-c- --cells 2 --width 8",
      ),
    )
    .action((options: SimulateOptions) => end(simulate(context, options)));
  addMemoryRomCommands(memory, context, end);
  addFreeRunCommand(memory, context, end);
}

interface ExplainOptions {
  readonly board: string;
  readonly fails: string;
  readonly tested?: string;
  readonly into?: string;
  readonly json?: true;
}

async function explain({ io, store }: CliContext, options: ExplainOptions): Promise<number> {
  const isJson = options.json === true;
  const loaded = loadBoard(store, options.board);
  if (loaded.value === undefined) return refuseInput(io, loaded.problems, isJson);
  reportProblems(io, loaded.problems);
  const list =
    options.fails === "-"
      ? { file: "input stream", text: await io.readAll(maximumFailureBytes) }
      : store.files.read(options.fails, maximumFailureBytes);
  const { value, problems } = explainMemory(loaded.value, list, options.tested);
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  if (options.into !== undefined) {
    const added = addToLog(store, options.into, loaded.value.board, memoryTestEntry(value.explanation));
    if (added.value === undefined) return refuseInput(io, added.problems, isJson);
  }
  if (isJson) io.out(renderJson(explainOutput(value, problems)));
  else printLines(io, renderExplained(value, paintFor(io)));
  return exitCodes.done;
}

interface SimulateOptions {
  readonly march: string;
  readonly cells: number;
  readonly width: number;
  readonly backgrounds?: string;
  readonly seed: number;
  readonly json?: true;
}

function simulate({ io, store }: CliContext, options: SimulateOptions): number {
  const isJson = options.json === true;
  const { value, problems } = simulateMarch(store, {
    march: options.march,
    addresses: options.cells,
    wordBits: options.width,
    seed: options.seed,
    ...(options.backgrounds === undefined ? {} : { backgrounds: options.backgrounds }),
  });
  if (value === undefined) return refuseInput(io, problems, isJson);
  if (isJson) io.out(renderJson(simulateOutput(value)));
  else printLines(io, renderSimulated(value, paintFor(io)));
  return exitCodes.done;
}

function wholeNumber(text: string): number {
  if (!/^\d{1,9}$/.test(text)) throw new InvalidArgumentError("It must be a whole number.");
  return Number(text);
}
