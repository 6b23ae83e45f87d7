import type { Command } from "commander";
import { checkLoadedBoard } from "../../app/check-board.js";
import { importBoard } from "../../app/import-board.js";
import { compareBoards } from "../../app/import-board-diff.js";
import { hasErrors, loadBoard } from "../../app/load-board.js";
import { checkOutput, diffOutput, importOutput, showOutput } from "../../app/output/board-output.js";
import { showBoard } from "../../app/show-board.js";
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
import { renderCheck, renderDiff, renderImport, renderShown } from "../render/board.js";
import { addSketchCommand } from "./board-sketch.js";

const boardArgument = "an installed board, a board file, a netlist or a layout";

/** Adds `boardwake board` with its subcommands. */
export function addBoardCommands(program: Command, context: CliContext, end: (code: number) => void): void {
  const board = program
    .command("board")
    .summary("check, show, import, sketch and compare boards")
    .description(
      "Work with board files: check one electrically, show one, make one from netlists and layouts or from a description of blocks, compare two.",
    );
  board
    .command("check")
    .summary("check a board's circuit")
    .description(
      "Checks a board's circuit by rule and settles the healthy board. Ends with code 1 if anything is left that nobody has explained.",
    )
    .argument("<board>", boardArgument)
    .option("--json", "print the findings as JSON")
    .addHelpText(
      "after",
      examples("boardwake board check pellow-16", "boardwake board check machine.json --json"),
    )
    .action((name: string, options: { json?: true }) => end(check(context, name, options.json === true)));
  board
    .command("show")
    .summary("show a board's parts, nets and memory map")
    .description("Shows what a board file holds: rails, memory map, phases, and the parts by section.")
    .argument("<board>", boardArgument)
    .option("--json", "print parts, pins and nets as JSON")
    .addHelpText("after", examples("boardwake board show merrow", "boardwake board show machine.net --json"))
    .action((name: string, options: { json?: true }) => end(show(context, name, options.json === true)));
  board
    .command("import")
    .summary("make a board file from netlists and layouts")
    .description(
      "Makes a board file from one or more files of one board: KiCad netlists (.net, .xml) and layouts (.kicad_pcb), IPC-D-356 (.ipc, .d356), EDIF (.edf), or a table of pins (.csv with ref, pin, net and type). A netlist gives the types, a layout the positions; what does not match is said. Recognises parts, supply and memory, and says what it took for granted. Nothing is written if no sound board comes out.",
    )
    .argument("<file...>", "netlists and layouts of one board")
    .requiredOption("--out <file>", "board file to write (.json)")
    .option("--overrides <file>", "part types and jumper settings that you know better")
    .option("--json", "print what was recognised as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake board import machine.net --out machine.json",
        "boardwake board import machine.net machine.kicad_pcb --out machine.json",
        "boardwake board import machine.net --out machine.json --overrides known.json",
      ),
    )
    .action((files: string[], options: ImportOptions) => end(importFiles(context, files, options)));
  addSketchCommand(board, context, end);
  board
    .command("diff")
    .summary("compare two boards")
    .description(
      "Compares two boards part by part and pin by pin: parts that came or went, pins on another net, nets with another name, types, values and places. Ends with code 1 if anything differs.",
    )
    .argument("<before>", boardArgument)
    .argument("<after>", "the board to compare it with, in any of these forms")
    .option("--json", "print the differences as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake board diff machine.json machine-new.json",
        "boardwake board diff machine.net machine.kicad_pcb --json",
      ),
    )
    .action((before: string, after: string, options: { json?: true }) =>
      end(diff(context, before, after, options.json === true)),
    );
}

interface ImportOptions {
  readonly out: string;
  readonly overrides?: string;
  readonly json?: true;
}

function check({ io, store }: CliContext, name: string, isJson: boolean): number {
  const { value, problems } = loadBoard(store, name);
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  const checked = checkLoadedBoard(value);
  if (isJson) io.out(renderJson(checkOutput(checked, problems)));
  else printLines(io, renderCheck(checked, paintFor(io)));
  return checked.unexplained + checked.unsettled.length > 0 ? exitCodes.problemFound : exitCodes.done;
}

function show({ io, store }: CliContext, name: string, isJson: boolean): number {
  const { value, problems } = loadBoard(store, name);
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  const shown = showBoard(value);
  if (isJson) io.out(renderJson(showOutput(shown, problems)));
  else printLines(io, renderShown(shown, paintFor(io)));
  return exitCodes.done;
}

function diff({ io, store }: CliContext, before: string, after: string, isJson: boolean): number {
  const { value, problems } = compareBoards(store, before, after);
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  if (isJson) io.out(renderJson(diffOutput(value, problems)));
  else printLines(io, renderDiff(value, paintFor(io)));
  return value.same ? exitCodes.done : exitCodes.problemFound;
}

function importFiles({ io, store }: CliContext, files: readonly string[], options: ImportOptions): number {
  const isJson = options.json === true;
  const { value, problems } = importBoard(store, { ...options, files });
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  if (isJson) io.out(renderJson(importOutput(value, problems)));
  else printLines(io, renderImport(value, paintFor(io)));
  return hasErrors(problems) ? exitCodes.problemFound : exitCodes.done;
}
