/*
 * Why: whoever verifies wants to hear of every failure, not of the first one only. This runs the steps below one after
 * the other, goes on after a failure, and ends with code 1 if any step failed. The tests come last, so that the output
 * ends with their summary.
 */
import { spawnSync } from "node:child_process";
import { repositoryRoot } from "./generated-files.js";

const steps = ["build", "check:types", "check:lint", "check:data", "check:contributing", "browser", "test"];

const failed: string[] = [];
for (const [i, step] of steps.entries()) {
  const before = failed.length === 0 ? "" : ` (failed so far: ${failed.join(", ")})`;
  console.log(`\nstep ${i + 1} of ${steps.length}: npm run ${step}${before}`);
  const run = spawnSync(`npm run --silent ${step}`, {
    cwd: repositoryRoot,
    shell: true,
    stdio: "inherit",
  });
  if (run.status !== 0) failed.push(step);
}
if (failed.length > 0) {
  console.error(`failed: ${failed.join(", ")}`);
  process.exitCode = 1;
}
