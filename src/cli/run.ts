import { CommanderError } from "commander";
import { tellError } from "../app/jobs/refusal.js";
import { BoardwakeError } from "../core/base/errors.js";
import { type CliContext, exitCodes } from "./context.js";
import { renderJson } from "./json.js";
import { createProgram } from "./program.js";

/**
 * Runs one command line (without the names of Node and of the script) and returns its exit code. Everything that can go
 * wrong ends in one sentence on the error stream; with `--json` also in `error` on the output.
 */
export async function run(argv: readonly string[], context: CliContext): Promise<number> {
  let exitCode: number = exitCodes.done;
  const program = createProgram(context, (code) => {
    exitCode = code;
  });
  try {
    if (argv.length === 0) {
      program.outputHelp({ error: true });
      return exitCodes.usage;
    }
    await program.parseAsync(argv, { from: "user" });
    return exitCode;
  } catch (error) {
    // The parser has written its sentence, or the help that was asked for.
    if (error instanceof CommanderError) return error.exitCode === 0 ? exitCodes.done : exitCodes.usage;
    const known = asKnownError(error);
    const { code, message, hint } = tellError(known);
    context.io.err(`${message}${hint === undefined ? "" : ` ${hint}`}\n`);
    if (argv.includes("--json")) context.io.out(renderJson({ error: { code, message }, problems: [] }));
    return known.exitCode;
  }
}

/** An error of the catalogue as it is; anything else is a mistake of ours and told without a stack trace. */
function asKnownError(error: unknown): BoardwakeError {
  if (error instanceof BoardwakeError) return error;
  const reason = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  return new BoardwakeError("internal", { reason: reason.replace(/\s+/g, " ") }, error);
}
