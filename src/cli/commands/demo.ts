import type { Command } from "commander";
import { openDemo } from "../../app/demo-walk.js";
import { type CliContext, examples, refuseInput, sayWorking } from "../context.js";
import { tellDemo } from "../session/demo-session.js";

/** Adds `boardwake demo`. */
export function addDemoCommand(program: Command, context: CliContext, end: (code: number) => void): void {
  program
    .command("demo")
    .summary("a guided session on an invented machine")
    .description(
      "Tells a repair of an invented machine from the first symptom to the named part. Everything shown is computed as it is for your own machine. In a terminal it waits for Enter between scenes and then hands over to you.",
    )
    .option("--no-pause", "tell it in one go and end")
    .addHelpText("after", examples("boardwake demo", "boardwake demo --no-pause"))
    .action(async (options: { pause: boolean }) => end(await demo(context, options.pause)));
}

async function demo(context: CliContext, pauses: boolean): Promise<number> {
  sayWorking(context.io);
  const { value, problems } = openDemo(context.store);
  if (value === undefined) return refuseInput(context.io, problems, false);
  return tellDemo(context, value, { pauses: pauses && context.io.isInteractive });
}
