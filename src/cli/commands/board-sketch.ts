import type { Command } from "commander";
import { sketchOutput } from "../../app/output/sketch-output.js";
import { sketchFile } from "../../app/sketch-board.js";
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
import { renderSketch } from "../render/sketch.js";

interface SketchOptions {
  readonly blocks: string;
  readonly out: string;
  readonly known?: string;
  readonly picture?: string;
  readonly json?: true;
}

/** Adds `boardwake board sketch`. */
export function addSketchCommand(board: Command, context: CliContext, end: (code: number) => void): void {
  board
    .command("sketch")
    .summary("make a board file from a description of blocks")
    .description(
      "Sketches a machine for which there is no file: from its blocks (rails, clock, processor, ROMs, RAM, picture, ports) it makes a board file, wired in the usual way. Everything nobody has seen is marked as assumed, and readings there count less. What is known by now of the real board (--known) refines it. Ends with code 1 if the board does not settle or facts contradict it.",
    )
    .requiredOption("--blocks <file>", "description of the machine's blocks (.json)")
    .requiredOption("--out <file>", "board file to write (.json)")
    .option("--known <file>", "facts about the real board, or a board file of part of it (.json)")
    .option("--picture <file>", "block picture to write (.svg)")
    .option("--json", "print what was made as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake board sketch --blocks blocks.json --out machine.json",
        "boardwake board sketch --blocks blocks.json --out mine.json --picture mine.svg",
        "boardwake board sketch --blocks blocks.json --out mine.json --known facts.json",
      ),
    )
    .action((options: SketchOptions) => end(sketch(context, options)));
}

function sketch({ io, store }: CliContext, options: SketchOptions): number {
  const isJson = options.json === true;
  const { value, problems } = sketchFile(store, options);
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  if (isJson) io.out(renderJson(sketchOutput(value, problems)));
  else printLines(io, renderSketch(value, paintFor(io)));
  return value.unsettled.length + value.findings.length + value.contradictions.length > 0
    ? exitCodes.problemFound
    : exitCodes.done;
}
