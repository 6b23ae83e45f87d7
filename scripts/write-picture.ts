/*
 * Why: a picture of the program in the documentation must show what the program really prints. This runs a command and
 * writes its output, colours included, as an SVG. Usage:
 *   tsx scripts/write-picture.ts <file.svg> <title> -- <command> <arguments...>
 * The line `$ <title>` stands on top. The command must end with code 0 or 1 (1: a problem was found, which is output too).
 */
import { spawnSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import { renderTerminal } from "./render-terminal.js";

const [path, title, dashes, command, ...rest] = process.argv.slice(2);
if (path === undefined || title === undefined || dashes !== "--" || command === undefined) {
  console.error("usage: tsx scripts/write-picture.ts <file.svg> <title> -- <command> <arguments...>");
  process.exit(2);
}
const environment: NodeJS.ProcessEnv = { ...process.env, FORCE_COLOR: "1", COLUMNS: "100" };
delete environment["NO_COLOR"];
const run = spawnSync(command, rest, {
  encoding: "utf8",
  env: environment,
  stdio: ["ignore", "pipe", "inherit"],
});
if (run.status !== 0 && run.status !== 1) {
  console.error(`${command} ended with code ${run.status ?? run.signal}; no picture was written`);
  process.exit(1);
}
mkdirSync(dirname(path), { recursive: true });
writeFileSync(path, renderTerminal(`\u001b[2m$ ${title}\u001b[22m\n\n${run.stdout}`, title));
