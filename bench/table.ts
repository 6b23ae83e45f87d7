/*
 * Why: making a board's single-fault table is what a user waits for when a board is opened. Says how long it takes in a
 * fresh process, where nothing is compiled yet, and in one that has done it before. Writes bench/results/table.json.
 */
import { mkdirSync, writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import { runInChild, spread } from "./support/measure-table.js";

const { values } = parseArgs({
  options: {
    boards: { type: "string", default: "pellow-16,merrow" },
    processes: { type: "string", default: "5" },
    json: { type: "string", default: join(repositoryRoot, "bench/results/table.json") },
  },
});

const warmRuns = 6;
const processes = Math.max(1, Number(values.processes));
const boards = values.boards.split(",").map((id) => {
  const reports = Array.from({ length: processes }, (_, i) => {
    console.error(`${id}: process ${i + 1} of ${processes}`);
    return runInChild(id, i === 0 ? warmRuns + 1 : 1);
  });
  const [first] = reports[0]?.runs ?? [];
  const cold = reports.flatMap(({ runs }) => runs.slice(0, 1));
  const warm = reports[0]?.runs.slice(1) ?? [];
  return {
    board: id,
    parts: first?.parts,
    nets: first?.nets,
    phases: first?.phases,
    effects: first?.effects,
    rows: first?.rows,
    tableBytes: first?.tableBytes,
    coldSeconds: spread(cold.map((run) => run.tableSeconds)),
    coldProcessorSeconds: spread(cold.map((run) => run.tableProcessorSeconds)),
    warmSeconds: spread(warm.map((run) => run.tableSeconds)),
    coldCircuitSeconds: spread(cold.map((run) => run.circuitSeconds)),
    coldFaultsSeconds: spread(cold.map((run) => run.faultsSeconds)),
    peakMebibyte: Math.max(...reports.map((report) => report.peakMebibyte)),
  };
});

const result = {
  node: process.versions.node,
  processor: cpus()[0]?.model ?? "unknown",
  cores: cpus().length,
  processes,
  warmRuns,
  boards,
};
mkdirSync(join(repositoryRoot, "bench/results"), { recursive: true });
writeFileSync(values.json, `${JSON.stringify(result, null, 2)}\n`);
console.log(JSON.stringify(result));
