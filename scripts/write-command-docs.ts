/*
 * Why: the page of commands must be what the program's own help says. This writes docs/guide/commands.md from it; with
 * --check it fails where the page is stale.
 */
import { writeOrCheck } from "./generated-files.js";
import { renderCommands } from "./render-commands.js";

writeOrCheck({
  files: [{ path: "docs/guide/commands.md", text: renderCommands() }],
  left: [],
  check: process.argv.includes("--check"),
  command: "npx tsx scripts/write-command-docs.ts",
});
