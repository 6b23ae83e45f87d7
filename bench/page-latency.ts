/*
 * Why: says how long the restorer waits after a tap on the bench page: from sending an answer over HTTP to holding the
 * new suspects and the next step, with the log on the disk and the work done in the server's own thread, as it is in
 * use. Faults are hidden and answers drawn as in practice. Writes bench/results/page-latency.json and, with what
 * bench/log-open.ts and bench/log-kills.ts have written, docs/benches/page.md.
 */
import { randomUUID } from "node:crypto";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { z } from "zod";
import { repositoryRoot } from "../scripts/generated-files.js";
import type { LogEntry } from "../src/app/api/entry.js";
import { type Findings, findingsSchema } from "../src/app/api/findings.js";
import { entryAnswerSchema } from "../src/app/api/jobs.js";
import { createRandom } from "../src/core/base/random.js";
import { answer } from "../src/core/find/practice/answer.js";
import { drawFault } from "../src/core/find/practice/hidden-fault.js";
import { openingEntries, practiceInstruments } from "../src/core/find/practice/play.js";
import { createWorld } from "../src/core/find/practice/world.js";
import { serveBench } from "../src/server/main.js";
import { loadPrepared } from "./practice/load.js";
import { type LatencyRecord, quantile, updateBenchPage } from "./support/bench-page.js";

const { values } = parseArgs({
  options: {
    board: { type: "string", default: "pellow-16" },
    cases: { type: "string", default: "30" },
    steps: { type: "string", default: "6" },
    json: { type: "string", default: join(repositoryRoot, "bench/results/page-latency.json") },
  },
});
const cases = Number(values.cases);
const steps = Number(values.steps);

const folder = mkdtempSync(join(tmpdir(), "boardwake-bench-"));
const bench = await serveBench({
  port: 0,
  isShared: false,
  folder,
  version: "bench",
  threadScript: new URL("../test/support/engine-thread.mjs", import.meta.url),
});
const api = `http://127.0.0.1:${bench.port}/api/v1`;

async function ask<T>(schema: z.ZodType<T>, path: string, body?: unknown): Promise<T> {
  const init =
    body === undefined
      ? {}
      : { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) };
  const response = await fetch(`${api}${path}`, init);
  const answered: unknown = await response.json();
  if (!response.ok) throw new Error(`${path}: ${JSON.stringify(answered)}`);
  return schema.parse(answered);
}

/** A tap: the answer is sent, and the findings are there, with the answer or after it. */
async function tap(
  job: string,
  entry: LogEntry,
): Promise<{ findings: Findings; inAnswer: boolean; bytes: number }> {
  const sent = await ask(entryAnswerSchema, `/jobs/${job}/entries`, { id: randomUUID(), entry });
  const findings = sent.findings ?? (await ask(findingsSchema, `/jobs/${job}/findings`));
  return { findings, inAnswer: sent.findings !== null, bytes: JSON.stringify(findings).length };
}

const prepared = loadPrepared(values.board);
const world = createWorld(prepared);
const tapMilliseconds: number[] = [];
const firstMilliseconds: number[] = [];
let inAnswer = 0;
let bytes = 0;
for (let seed = 0; seed < cases; seed += 1) {
  const random = createRandom(seed);
  const hidden = drawFault(world, random, {
    by: seed % 2 === 0 ? "prior" : "even-over-parts",
    onlyShowing: true,
  });
  const job = randomUUID();
  const entries = openingEntries(hidden, random).map((entry) => ({ id: randomUUID(), entry }));
  const instruments = [...practiceInstruments];
  const started = performance.now();
  await ask(z.unknown(), "/jobs", {
    id: job,
    board: values.board,
    title: `Case ${seed}`,
    instruments,
    entries,
  });
  let findings = await ask(findingsSchema, `/jobs/${job}/findings`);
  // The very first waits for the board to be made ready.
  if (seed > 0) firstMilliseconds.push(performance.now() - started);
  for (let step = 0; step < steps; step += 1) {
    const next = findings.result.next[0];
    if (next === undefined || next.action === "gate") break;
    const given = answer(hidden, next, random, {});
    const begun = performance.now();
    const done = await tap(job, given.entry);
    tapMilliseconds.push(performance.now() - begun);
    if (done.inAnswer) inAnswer += 1;
    bytes += done.bytes;
    findings = done.findings;
    if (given.fixed) break;
  }
}
await bench.close();
rmSync(folder, { recursive: true, force: true });

const record: LatencyRecord = {
  node: process.versions.node,
  board: values.board,
  cases,
  taps: tapMilliseconds.length,
  tapMilliseconds: {
    median: quantile(tapMilliseconds, 0.5),
    nineTenths: quantile(tapMilliseconds, 0.9),
    ninetyNineHundredths: quantile(tapMilliseconds, 0.99),
    most: quantile(tapMilliseconds, 1),
  },
  openMilliseconds: { median: quantile(firstMilliseconds, 0.5), most: quantile(firstMilliseconds, 1) },
  answeredAtOnce: inAnswer,
  findingsKilobytes: Number((bytes / tapMilliseconds.length / 1000).toFixed(1)),
};
writeFileSync(values.json, `${JSON.stringify(record, null, 2)}\n`);
updateBenchPage();
console.log(JSON.stringify(record));
