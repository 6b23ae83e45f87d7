import { Command } from "commander";
import { addBoardCommands } from "./commands/board.js";
import { addDeckCommands } from "./commands/deck.js";
import { addDemoCommand } from "./commands/demo.js";
import { addFindCommand } from "./commands/find.js";
import { addJobCommands } from "./commands/job.js";
import { addMemoryCommands } from "./commands/memory.js";
import { addPracticeCommand } from "./commands/practice.js";
import { addServeCommand } from "./commands/serve.js";
import { addTapeCommands } from "./commands/tape.js";
import type { CliContext } from "./context.js";

/** The whole command tree. `end` is told the exit code of the command that ran. */
export function createProgram(context: CliContext, end: (code: number) => void): Command {
  const program = new Command("boardwake")
    .description(
      "Finds the faulty part in a home computer of the late 1970s and 1980s by computing from the board, the symptoms and the readings.",
    )
    .version(context.version, "--version", "print the version")
    .helpOption("-h, --help", "show this help")
    .helpCommand("help [command]", "show the help of a command")
    .showSuggestionAfterError(true)
    .exitOverride()
    .configureHelp({ helpWidth: 80 })
    .configureOutput({
      writeOut: (text) => context.io.out(text),
      writeErr: (text) => context.io.err(text),
      getOutHelpWidth: () => 80,
      getErrHelpWidth: () => 80,
    });
  addServeCommand(program, context, end);
  addFindCommand(program, context, end);
  addBoardCommands(program, context, end);
  addPracticeCommand(program, context, end);
  addMemoryCommands(program, context, end);
  addDeckCommands(program, context, end);
  addTapeCommands(program, context, end);
  addJobCommands(program, context, end);
  addDemoCommand(program, context, end);
  program.addHelpText(
    "after",
    "\nExit codes: 0 done, 1 a problem was found in what was examined, 2 the command\nwas not understood, 3 what was given cannot be used, 4 something is wrong\ninside.",
  );
  return program;
}
