import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { z } from "zod";
import { repositoryRoot } from "../../scripts/generated-files.js";

/** Milliseconds of several runs. */
export interface Spread {
  readonly median: number;
  readonly nineTenths: number;
  readonly most: number;
  readonly processorMedian: number;
}

/** What bench/latency.ts measured. */
export interface LatencyResult {
  readonly node: string;
  readonly cases: number;
  readonly boards: readonly {
    readonly board: string;
    readonly prepareMilliseconds: number;
    readonly readings: number;
    readonly firstRankingMilliseconds: Spread;
    readonly rankingMilliseconds: Spread;
    readonly answerMilliseconds: Spread;
  }[];
}

const seconds = z.object({ least: z.number(), mean: z.number() });
const tableSchema = z.object({
  processes: z.number(),
  warmRuns: z.number(),
  boards: z.array(
    z.object({
      board: z.string(),
      effects: z.number(),
      rows: z.number(),
      coldSeconds: seconds,
      warmSeconds: seconds,
      peakMebibyte: z.number(),
    }),
  ),
});
const growthSchema = z.object({
  sizes: z.array(
    z.object({
      parts: z.number(),
      nets: z.number(),
      rows: z.number(),
      tableBytes: z.number(),
      seconds,
      microsecondsPerRow: z.number(),
      peakMebibyte: z.number(),
    }),
  ),
  timeGrowsWithPower: z.number(),
});

/** The page about speed: one table for each kind of wait, with the target above it. */
export function speedPage(latency: LatencyResult): string {
  return `# How long it takes

Written by \`npx tsx bench/latency.ts\` (after \`bench/table.ts\` and \`bench/growth.ts\`); do not edit. Node ${latency.node};
the machine is named in the files of \`bench/results\`. Other work on the machine makes elapsed times longer than need be;
processor time suffers less.

## After a reading

Target: the new ranking in under 50 ms, the next steps in under 200 ms. ${latency.cases} cases a board with up to five
readings each, answered from the model, all pairs of faults at their usual limits. "First ranking" is that of a new log
and settles pairs for the first time (target for pairs: 5 s). "Whole answer" is ranking, next steps and explanation.

| board | readings | | median ms | 9 in 10 below | most | processor, median |
| --- | ---: | --- | ---: | ---: | ---: | ---: |
${latency.boards
  .flatMap((one) => [
    row(one.board, one.readings, "first ranking", one.firstRankingMilliseconds),
    row(one.board, one.readings, "ranking", one.rankingMilliseconds),
    row(one.board, one.readings, "whole answer", one.answerMilliseconds),
  ])
  .join("\n")}
${tableSection()}${growthSection()}`;
}

function row(board: string, readings: number, what: string, spread: Spread): string {
  const { median, nineTenths, most, processorMedian } = spread;
  return `| ${board} | ${readings} | ${what} | ${median} | ${nineTenths} | ${most} | ${processorMedian} |`;
}

function tableSection(): string {
  const table = readResult("table.json", tableSchema);
  if (table === undefined) return "";
  const rows = table.boards.map(
    (one) =>
      `| ${one.board} | ${one.effects} | ${one.rows} | ${one.coldSeconds.least} | ${one.coldSeconds.mean} | ${one.warmSeconds.least} | ${one.warmSeconds.mean} | ${one.peakMebibyte} |`,
  );
  return `
## The table of all single faults

Target: under 0.5 s. Cold is the first time in a fresh process (${table.processes} of them), before anything is compiled;
warm is what a server needs that has made one before.

| board | effects | rows | cold, least s | cold, mean | warm, least | warm, mean | peak MiB |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
${rows.join("\n")}
`;
}

function growthSection(): string {
  const growth = readResult("growth.json", growthSchema);
  if (growth === undefined) return "";
  const rows = growth.sizes.map(
    (one) =>
      `| ${one.parts} | ${one.nets} | ${one.rows} | ${one.seconds.least} | ${one.microsecondsPerRow} | ${(one.tableBytes / 2 ** 20).toFixed(1)} | ${one.peakMebibyte} |`,
  );
  return `
## How it grows

Made-up boards of 100 to 800 parts. Target: near linear, and under 400 MiB at 800 parts. Time grows with the power
${growth.timeGrowsWithPower} of the number of parts.

| parts | nets | rows | least s | µs a row | table MiB | peak MiB |
| ---: | ---: | ---: | ---: | ---: | ---: | ---: |
${rows.join("\n")}
`;
}

function readResult<T>(name: string, schema: z.ZodType<T>): T | undefined {
  const path = join(repositoryRoot, "bench/results", name);
  return existsSync(path) ? schema.parse(JSON.parse(readFileSync(path, "utf8"))) : undefined;
}
