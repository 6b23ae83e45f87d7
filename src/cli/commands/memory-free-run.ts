import { type Command, InvalidArgumentError } from "commander";
import { drawPlug, freeRun, maximumReadingBytes } from "../../app/free-run.js";
import { loadBoard } from "../../app/load-board.js";
import { freeRunOutput } from "../../app/output/free-run-output.js";
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
import { renderFreeRun } from "../render/free-run.js";

/** Adds `boardwake memory free-run`. */
export function addFreeRunCommand(memory: Command, context: CliContext, end: (code: number) => void): void {
  memory
    .command("free-run")
    .summary("what the address lines do when the processor counts through all addresses")
    .description(
      "For a processor that is fed nothing but instructions that do nothing: how the plug under it is wired, and what each address line and decoder output then does. Readings are compared; the exit code is 1 if one does not fit.",
    )
    .requiredOption("--board <board>", "an installed board, a board file, or a KiCad netlist (.net)")
    .option("--clock <hertz>", "clock of the processor, where it is not the board's", hertz)
    .option("--readings <file>", "readings, one a line: a net or pin, then a rate, pulsing, high or low")
    .option("--plug <file>", "also draws the plug, as SVG")
    .option("--json", "print everything as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake memory free-run --board merrow",
        "boardwake memory free-run --board merrow --readings seen.txt --plug plug.svg",
      ),
    )
    .action((options: FreeRunOptions) => end(runFree(context, options)));
}

interface FreeRunOptions {
  readonly board: string;
  readonly clock?: number;
  readonly readings?: string;
  readonly plug?: string;
  readonly json?: true;
}

function runFree({ io, store }: CliContext, options: FreeRunOptions): number {
  const isJson = options.json === true;
  const loaded = loadBoard(store, options.board);
  if (loaded.value === undefined) return refuseInput(io, loaded.problems, isJson);
  reportProblems(io, loaded.problems);
  const list =
    options.readings === undefined ? undefined : store.files.read(options.readings, maximumReadingBytes);
  const { value, problems } = freeRun(loaded.value, list, options.clock);
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  if (options.plug !== undefined)
    store.files.write([{ file: options.plug, text: drawPlug(loaded.value, value.run) }]);
  if (isJson) io.out(renderJson(freeRunOutput(value, problems)));
  else printLines(io, renderFreeRun(value, paintFor(io)));
  return value.compared.every(({ fits }) => fits) ? exitCodes.done : exitCodes.problemFound;
}

function hertz(text: string): number {
  if (!/^\d{1,9}(\.\d{1,6})?$/.test(text) || Number(text) === 0)
    throw new InvalidArgumentError("It must be a number above 0.");
  return Number(text);
}
