/*
 * Why: a guide for contributors goes stale unless something runs it. This executes every line of the blocks in
 * CONTRIBUTING.md that are fenced as `sh ci`, in order, from the root, and ends with code 1 at the first that fails.
 */
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { findCommands } from "./find-commands.js";
import { repositoryRoot } from "./generated-files.js";

const commands = findCommands(readFileSync(join(repositoryRoot, "CONTRIBUTING.md"), "utf8"), "sh ci");
if (commands.length === 0) {
  console.error("CONTRIBUTING.md holds no block fenced as sh ci");
  process.exitCode = 1;
}

// The results file of the continuous build is for its own test run, not for the runs in here.
const { BOARDWAKE_TEST_RESULTS: _, ...environment } = process.env;
for (const command of commands) {
  console.log(`+ ${command}`);
  const run = spawnSync(command, { cwd: repositoryRoot, env: environment, shell: true, encoding: "utf8" });
  if (run.status === 0) continue;
  console.error(`${run.stdout}${run.stderr}`);
  console.error(`CONTRIBUTING.md: the command failed with code ${run.status ?? run.signal}: ${command}`);
  process.exitCode = 1;
  break;
}
