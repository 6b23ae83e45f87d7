import type { Command } from "commander";
import type { CliIo } from "../src/cli/io.js";
import { createProgram } from "../src/cli/program.js";
import { openStore } from "../src/store/store.js";
import { noBench, noBytes } from "./no-bench.js";

/** A command with the words that call it. */
export interface NamedCommand {
  readonly words: string;
  readonly command: Command;
}

/** Every command of the program, the program itself first, each before its subcommands. */
export function listCommands(): NamedCommand[] {
  const io: CliIo = {
    out: () => {},
    err: () => {},
    readAll: () => Promise.resolve(""),
    readBytes: noBytes,
    readLine: () => Promise.resolve(undefined),
    close: () => {},
    isInteractive: false,
    hasColour: false,
  };
  const program = createProgram({ io, store: openStore(), bench: noBench, version: "" }, () => {});
  const walk = (command: Command, before: string): NamedCommand[] => {
    const words = `${before}${command.name()}`;
    return [{ words, command }, ...command.commands.flatMap((own) => walk(own, `${words} `))];
  };
  return walk(program, "");
}

/** The help page of all commands as docs/guide/commands.md should hold it. */
export function renderCommands(): string {
  const sections = listCommands().map(
    ({ words, command }) => `## ${words}\n\n\`\`\`text\n${fullHelp(command).trim()}\n\`\`\`\n`,
  );
  const intro = `# Commands

What \`--help\` prints for each command, written by \`npx tsx scripts/write-command-docs.ts\`; edit the commands in
\`src/cli/commands\`, not this page. What the exit codes mean and what to do about an error is on the page of
[errors](errors.md); the forms of files and of JSON output are under [formats](../README.md#formats).

Data goes to the output stream, talk to the error stream, so that \`boardwake ... --json > file\` holds nothing else.
\`NO_COLOR\` and \`FORCE_COLOR\` are obeyed.
`;
  return [intro, ...sections].join("\n");
}

/** Help with the texts added below it, which commander only writes when it prints. */
function fullHelp(command: Command): string {
  const parts: string[] = [];
  command.configureOutput({ ...command.configureOutput(), writeOut: (text) => void parts.push(text) });
  command.outputHelp();
  return parts.join("");
}
