import type { Command } from "commander";
import { loadBoard } from "../../app/load-board.js";
import { practiceOutput } from "../../app/output/other-output.js";
import { playByItself } from "../../app/practice.js";
import { PracticeGame } from "../../app/practice-game.js";
import { BoardwakeError } from "../../core/base/errors.js";
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
import { renderGame } from "../render/practice.js";
import { playPractice } from "../session/practice-session.js";

interface PracticeOptions {
  readonly board: string;
  readonly seed: string;
  readonly auto?: true;
  readonly json?: true;
}

/** Adds `boardwake practice`. */
export function addPracticeCommand(program: Command, context: CliContext, end: (code: number) => void): void {
  program
    .command("practice")
    .summary("find a hidden fault in a simulated machine")
    .description(
      "Hides a fault in a simulated machine and lets you find it, or with --auto lets the plan find it by itself. Readings are answered from the model. The same seed hides the same fault.",
    )
    .requiredOption("--board <board>", "an installed board, a board file, or a KiCad netlist (.net)")
    .option("--seed <number>", "which fault is hidden: a whole number", "1")
    .option("--auto", "the plan plays by itself")
    .option("--json", "print the game as JSON; needs --auto")
    .addHelpText(
      "after",
      examples(
        "boardwake practice --board merrow --seed 7",
        "boardwake practice --board merrow --seed 7 --auto --json",
      ),
    )
    .action(async (options: PracticeOptions) => end(await practice(context, options)));
}

async function practice(context: CliContext, options: PracticeOptions): Promise<number> {
  const { io, store } = context;
  const isJson = options.json === true;
  const seed = Number(options.seed);
  if (options.seed.trim() === "" || !Number.isInteger(seed) || Math.abs(seed) > 2 ** 31)
    throw new BoardwakeError("usage", {
      reason: `The seed must be a whole number up to 2147483648, not '${options.seed}'.`,
    });
  if (isJson && options.auto !== true)
    throw new BoardwakeError("usage", { reason: "--json prints a game that was played with --auto." });
  const { value, problems } = loadBoard(store, options.board);
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  sayWorking(io);
  if (options.auto !== true) {
    const opened = PracticeGame.open(store, value, seed);
    if (opened.value === undefined) return refuseInput(io, opened.problems, isJson);
    return playPractice(context, opened.value);
  }
  const game = playByItself(store, value, seed);
  if (isJson) io.out(renderJson(practiceOutput(game, problems)));
  else printLines(io, renderGame(game, paintFor(io)));
  return exitCodes.done;
}
