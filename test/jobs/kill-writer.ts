import { spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import Sqlite from "better-sqlite3";
import type { Random } from "../../src/core/base/random.js";
import { openJobStore } from "../../src/store/jobs/job-store.js";

/** What became of a log whose writer was killed. */
export interface KillOutcome {
  /** Entries the writer had confirmed in this run. */
  readonly confirmed: number;
  /** Confirmed entries, of this run and before, that the log does not hold. */
  readonly lost: number;
  /** True if SQLite finds the file sound, and the log counts up without a gap. */
  readonly isSound: boolean;
}

/** Job that `killWriter` writes to. */
export const killedJob = "00000000-0000-4000-8000-0000000000aa";

/** Makes the database with its empty job. */
export function makeKillDatabase(file: string): void {
  const store = openJobStore(file);
  store.change((write) =>
    write.addJob({ id: killedJob, openedAt: "2026-03-01T10:00:00.000Z", isDemo: false }),
  );
  store.close();
}

/**
 * Starts a writer, kills it without warning some milliseconds after its first confirmation, and looks at what is left.
 * `confirmed` holds the ids by number of all entries confirmed so far; those of this run are added.
 */
export async function killWriter(
  file: string,
  confirmed: Map<number, string>,
  random: Random,
): Promise<KillOutcome> {
  const before = confirmed.size;
  const writer = fileURLToPath(new URL("./log-writer.ts", import.meta.url));
  const child = spawn(process.execPath, ["--import", "tsx", writer, file, killedJob], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  let text = "";
  await new Promise<void>((resolve) => {
    let isTimed = false;
    child.stdout.on("data", (chunk: Buffer) => {
      text += chunk.toString("latin1");
      if (isTimed) return;
      isTimed = true;
      setTimeout(() => child.kill("SIGKILL"), random.next() * 60);
    });
    child.on("close", () => resolve());
  });
  for (const [, number, id] of text.matchAll(/^(\d+) (\S{36})$/gm)) confirmed.set(Number(number), id ?? "");
  const { lost, isSound } = lookAt(file, confirmed);
  return { confirmed: confirmed.size - before, lost, isSound };
}

function lookAt(file: string, confirmed: ReadonlyMap<number, string>): Omit<KillOutcome, "confirmed"> {
  const raw = new Sqlite(file);
  const verdict = raw.pragma("integrity_check", { simple: true });
  raw.close();
  const store = openJobStore(file);
  const log = store.log(killedJob);
  const job = store.job(killedJob);
  store.close();
  const lost = [...confirmed].filter(([number, id]) => log[number - 1]?.id !== id).length;
  const isGapless = log.every(({ number }, i) => number === i + 1);
  // The summary is written in the transaction of its entry: the two can never be apart.
  const isTogether = log.length === 0 || job?.summary?.revision === log.length;
  return { lost, isSound: verdict === "ok" && isGapless && isTogether };
}
