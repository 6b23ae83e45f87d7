/*
 * Adds entries to a job's log as fast as it can and says the number of each on its output once the store has confirmed
 * it. Runs until it is killed. Arguments: database file, id of the job.
 */
import { randomUUID } from "node:crypto";
import { writeSync } from "node:fs";
import { openJobStore } from "../../src/store/jobs/job-store.js";

const [file = "", job = ""] = process.argv.slice(2);
const store = openJobStore(file);
for (let number = (store.job(job)?.revision ?? 0) + 1; ; number += 1) {
  const id = randomUUID();
  const text = `${number} ${"x".repeat(200)}`;
  store.change((write) => {
    write.addEntry(job, { number, id, at: new Date().toISOString(), entry: { kind: "note", text } });
    write.setSummary(job, number, new Date().toISOString(), `{"number":${number}}`);
  });
  // Written past any buffer: what the other side has read was confirmed before.
  writeSync(1, `${number} ${id}\n`);
}
