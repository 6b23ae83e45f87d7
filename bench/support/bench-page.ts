import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { z } from "zod";
import { repositoryRoot } from "../../scripts/generated-files.js";

const latencySchema = z.object({
  node: z.string(),
  board: z.string(),
  cases: z.number(),
  taps: z.number(),
  tapMilliseconds: z.object({
    median: z.number(),
    nineTenths: z.number(),
    ninetyNineHundredths: z.number(),
    most: z.number(),
  }),
  openMilliseconds: z.object({ median: z.number(), most: z.number() }),
  answeredAtOnce: z.number(),
  findingsKilobytes: z.number(),
});
/** What bench/page-latency.ts measured. */
export type LatencyRecord = z.infer<typeof latencySchema>;

const openSchema = z.object({
  node: z.string(),
  entries: z.number(),
  openMilliseconds: z.object({ median: z.number(), most: z.number() }),
  textMilliseconds: z.number(),
  kilobytes: z.number(),
  addMilliseconds: z.object({ median: z.number(), most: z.number() }),
});
/** What bench/log-open.ts measured. */
export type OpenRecord = z.infer<typeof openSchema>;

const killSchema = z.object({
  node: z.string(),
  kills: z.number(),
  confirmed: z.number(),
  lost: z.number(),
  unsound: z.number(),
});
/** What bench/log-kills.ts counted. */
export type KillRecord = z.infer<typeof killSchema>;

const aims = { tapMedian: 150, tapNinetyNine: 400, open: 300 } as const;

/** The value below which a share of the list lies, to a tenth. */
export function quantile(list: readonly number[], share: number): number {
  const sorted = [...list].sort((a, b) => a - b);
  return Number((sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? 0).toFixed(1));
}

/** Writes docs/benches/page.md from what the three benchmarks of the bench page have written so far. */
export function updateBenchPage(): void {
  const latency = readResult("page-latency", latencySchema);
  const open = readResult("log-open", openSchema);
  const kills = readResult("log-kills", killSchema);
  if (latency === undefined || open === undefined || kills === undefined) return;
  writeFileSync(join(repositoryRoot, "docs/benches/page.md"), renderBenchPage(latency, open, kills));
}

function readResult<T>(name: string, schema: z.ZodType<T>): T | undefined {
  const path = join(repositoryRoot, "bench/results", `${name}.json`);
  return existsSync(path) ? schema.parse(JSON.parse(readFileSync(path, "utf8"))) : undefined;
}

function renderBenchPage(latency: LatencyRecord, open: OpenRecord, kills: KillRecord): string {
  const met = (value: number, aim: number): string => (value < aim ? "met" : "not met");
  const tap = latency.tapMilliseconds;
  return `# The bench page: how long a tap takes, and what a kill costs

Written by \`npx tsx bench/page-latency.ts\`, \`bench/log-open.ts\` and \`bench/log-kills.ts\`. Node ${latency.node}, two
cores that others were using too.

## From a tap to the next step

On \`${latency.board}\`, the larger demonstration board: ${latency.cases} jobs with a fault hidden in each, the plan's own
questions answered from the model, ${latency.taps} taps. The clock runs from sending the answer over HTTP on the loopback
to holding the new suspects and the next step; in between the entry is checked, put on the disk (synced), and worked out
in the engine's thread.

| | ms | aim | |
| --- | --- | --- | --- |
| median | ${tap.median} | ${aims.tapMedian} | ${met(tap.median, aims.tapMedian)} |
| 90 of 100 | ${tap.nineTenths} | | |
| 99 of 100 | ${tap.ninetyNineHundredths} | ${aims.tapNinetyNine} | ${met(tap.ninetyNineHundredths, aims.tapNinetyNine)} |
| longest | ${tap.most} | | |
| a new job to its first step, median | ${latency.openMilliseconds.median} | | |

${latency.answeredAtOnce} of ${latency.taps} taps got their findings in the answer; the others took longer than 250 ms, were
answered at once, and got them afterwards. Findings have ${latency.findingsKilobytes} kB on average before they are
compressed. Nearly all of the time is the engine's: [speed.md](speed.md) measures it by itself.

## A long log

| ${open.entries} entries | ms | aim | |
| --- | --- | --- | --- |
| opened from a cold database, state derived, median | ${open.openMilliseconds.median} | ${aims.open} | ${met(open.openMilliseconds.median, aims.open)} |
| the same, longest | ${open.openMilliseconds.most} | | |
| made into the ${open.kilobytes} kB that are sent | ${open.textMilliseconds} | | |
| one more entry checked and on the disk, median | ${open.addMilliseconds.median} | | |
| the same, longest | ${open.addMilliseconds.most} | | |

## Killed while writing

A program that adds entries as fast as the disk lets it was killed with SIGKILL ${kills.kills} times, each time up to 60 ms after
its first confirmation, 20 times on one file. It had confirmed ${kills.confirmed} entries. Lost: ${kills.lost}. Files that SQLite
does not find sound, or logs with a gap: ${kills.unsound}. This shows that the program may die at any moment; it cannot show
that a disk keeps what it says it has synced when the power goes.
`;
}
