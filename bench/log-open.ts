/*
 * Why: a log may grow for months. Says how long a log of 2,000 entries takes to be opened from a cold start of the
 * database, and to be sent to the page; and what one more entry then costs. Writes bench/results/log-open.json.
 */
import { randomUUID } from "node:crypto";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import type { LogEntry } from "../src/app/api/entry.js";
import { BenchBoards } from "../src/app/jobs/bench-boards.js";
import { JobBook } from "../src/app/jobs/job-book.js";
import { openJobStore } from "../src/store/jobs/job-store.js";
import { openStore } from "../src/store/store.js";
import { type OpenRecord, quantile, updateBenchPage } from "./support/bench-page.js";

const { values } = parseArgs({
  options: {
    entries: { type: "string", default: "2000" },
    json: { type: "string", default: join(repositoryRoot, "bench/results/log-open.json") },
  },
});
const count = Number(values.entries);
const rounds = 15;

const folder = mkdtempSync(join(tmpdir(), "boardwake-bench-"));
const file = join(folder, "jobs.db");
const boards = new BenchBoards(openStore());
const now = (): string => new Date().toISOString();
const kinds: readonly ((i: number) => LogEntry)[] = [
  () => ({ kind: "reading", at: "U12.6", with: "logic-probe", shows: "pulsing" }),
  () => ({ kind: "reading", at: "rail:+5", with: "multimeter", volts: 5.02 }),
  (i) => ({ kind: "note", text: `Note ${i}: the board was moved to the other bench and looked at again.` }),
  () => ({ kind: "symptom", what: "no-beep" }),
  (i) => ({ kind: "strike", entry: i }),
];
const job = randomUUID();
const addMilliseconds: number[] = [];
{
  const store = openJobStore(file);
  const book = new JobBook(store, boards, now);
  book.open({ id: job, board: "pellow-16", title: "Long", instruments: ["logic-probe"], entries: [] });
  for (let i = 2; i <= count; i += 1) {
    const entry = kinds[i % kinds.length]?.(i - 1) ?? { kind: "note", text: "n" };
    const begun = performance.now();
    book.add(job, { id: randomUUID(), entry });
    if (i > count - 200) addMilliseconds.push(performance.now() - begun);
  }
  store.close();
}
const openMilliseconds: number[] = [];
const sendMilliseconds: number[] = [];
let kilobytes = 0;
for (let round = 0; round < rounds; round += 1) {
  const begun = performance.now();
  const store = openJobStore(file);
  const detail = new JobBook(store, boards, now).detail(job);
  openMilliseconds.push(performance.now() - begun);
  const sending = performance.now();
  kilobytes = JSON.stringify(detail).length / 1000;
  sendMilliseconds.push(performance.now() - sending);
  if (detail.log.length !== count) throw new Error(`the log has ${detail.log.length} entries, not ${count}`);
  store.close();
}
rmSync(folder, { recursive: true, force: true });
const record: OpenRecord = {
  node: process.versions.node,
  entries: count,
  openMilliseconds: { median: quantile(openMilliseconds, 0.5), most: quantile(openMilliseconds, 1) },
  textMilliseconds: quantile(sendMilliseconds, 0.5),
  kilobytes: Number(kilobytes.toFixed(0)),
  addMilliseconds: { median: quantile(addMilliseconds, 0.5), most: quantile(addMilliseconds, 1) },
};
writeFileSync(values.json, `${JSON.stringify(record, null, 2)}\n`);
updateBenchPage();
console.log(JSON.stringify(record));
