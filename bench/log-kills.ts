/*
 * Why: what the page has confirmed must be on the disk. Kills a program that adds to a log as fast as it can, 200 times
 * without warning, and counts what it had confirmed and is not there. Writes bench/results/log-kills.json.
 */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import { createRandom } from "../src/core/base/random.js";
import { killWriter, makeKillDatabase } from "../test/jobs/kill-writer.js";
import { type KillRecord, updateBenchPage } from "./support/bench-page.js";

const { values } = parseArgs({
  options: {
    kills: { type: "string", default: "200" },
    json: { type: "string", default: join(repositoryRoot, "bench/results/log-kills.json") },
  },
});
const kills = Number(values.kills);
const killsPerFile = 20;

const random = createRandom(1);
const sum = { confirmed: 0, lost: 0, unsound: 0 };
for (let done = 0; done < kills; ) {
  const folder = mkdtempSync(join(tmpdir(), "boardwake-bench-"));
  const file = join(folder, "jobs.db");
  makeKillDatabase(file);
  const confirmed = new Map<number, string>();
  for (let i = 0; i < killsPerFile && done < kills; i += 1, done += 1) {
    const outcome = await killWriter(file, confirmed, random);
    sum.confirmed += outcome.confirmed;
    sum.lost += outcome.lost;
    if (!outcome.isSound) sum.unsound += 1;
  }
  rmSync(folder, { recursive: true, force: true });
  console.error(`${done} of ${kills}`);
}
const record: KillRecord = { node: process.versions.node, kills, ...sum };
writeFileSync(values.json, `${JSON.stringify(record, null, 2)}\n`);
updateBenchPage();
console.log(JSON.stringify(record));
