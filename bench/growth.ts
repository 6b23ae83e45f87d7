/*
 * Why: a board twice the size must not take four times as long, nor more memory than a small computer has. Makes the
 * single-fault tables of made-up boards of about 100, 200, 400 and 800 parts, each in a process of its own.
 * Writes bench/results/growth.json.
 */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import { runInChild, spread } from "./support/measure-table.js";

const { values } = parseArgs({
  options: {
    groups: { type: "string", default: "1,2,4,8" },
    json: { type: "string", default: join(repositoryRoot, "bench/results/growth.json") },
  },
});

const runs = 3;
const sizes = values.groups.split(",").map((groups) => {
  const report = runInChild(`synthetic-${groups}`, runs);
  const [first] = report.runs;
  if (first === undefined) throw new Error(`nothing was measured for ${groups} groups`);
  const seconds = spread(report.runs.map((run) => run.tableSeconds));
  const { parts, nets, phases, effects, rows, tableBytes } = first;
  const row = {
    parts,
    nets,
    phases,
    effects,
    rows,
    tableBytes,
    seconds,
    microsecondsPerRow: Math.round((seconds.least * 1e6) / rows),
    peakMebibyte: report.peakMebibyte,
  };
  console.error(JSON.stringify(row));
  return row;
});

/** Power of the number of parts with which a figure grows from the first size to the last. */
function growth(figure: (size: (typeof sizes)[number]) => number): number | undefined {
  const [from, to] = [sizes[0], sizes.at(-1)];
  if (from === undefined || to === undefined || from === to) return undefined;
  return Math.round((Math.log(figure(to) / figure(from)) / Math.log(to.parts / from.parts)) * 100) / 100;
}

const result = {
  runs,
  sizes,
  timeGrowsWithPower: growth((size) => size.seconds.least),
  rowsGrowWithPower: growth((size) => size.rows),
  bytesGrowWithPower: growth((size) => size.tableBytes),
};
if (values.json !== "") writeFileSync(values.json, `${JSON.stringify(result, null, 2)}\n`);
console.log(JSON.stringify(result));
