import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import type { Board } from "../../src/core/board/board.js";
import { enumerateFaults } from "../../src/core/find/faults/enumerate.js";
import { oddsFromPriors } from "../../src/core/find/faults/odds.js";
import { boardPriors } from "../../src/core/find/priors/board-priors.js";
import { buildCircuit } from "../../src/core/find/settle/build.js";
import { buildEffectTable } from "../../src/core/find/table/effect-table.js";
import { loadBoard, loadPartTypes } from "../../test/boards/support.js";
import { loadFindModel } from "../../test/support/board-effects.js";
import { readInstalledFailureData } from "../../test/support/failure-data.js";
import { syntheticBoard } from "./synthetic-board.js";

/** One making of a board's single-fault table. Seconds of processor time include the compiler's and collector's. */
export interface TableRun {
  readonly parts: number;
  readonly nets: number;
  readonly phases: number;
  readonly effects: number;
  readonly rows: number;
  /** Bytes the table itself takes. */
  readonly tableBytes: number;
  readonly circuitSeconds: number;
  readonly faultsSeconds: number;
  readonly tableSeconds: number;
  readonly tableProcessorSeconds: number;
}

/** A board of data/boards by id, or `synthetic-N` of N groups. */
export function benchBoard(id: string): Board {
  const synthetic = /^synthetic-(\d+)$/.exec(id);
  return synthetic === null ? loadBoard(id) : syntheticBoard(Number(synthetic[1]));
}

/** Makes the table of a board several times in this process: the first run is cold. */
export function runTable(id: string, times: number): TableRun[] {
  const board = benchBoard(id);
  const types = loadPartTypes();
  const model = loadFindModel();
  const data = readInstalledFailureData();
  const priors = boardPriors(data, board, (name) => types.get(name));
  return Array.from({ length: times }, () => {
    const start = performance.now();
    const circuit = buildCircuit(board, types);
    const built = performance.now();
    const { effects } = enumerateFaults(circuit, oddsFromPriors(data, priors));
    const listed = performance.now();
    const before = process.cpuUsage();
    const table = buildEffectTable(circuit, effects, model);
    const used = process.cpuUsage(before).user;
    const end = performance.now();
    return {
      parts: board.parts.length,
      nets: table.netCount,
      phases: board.phases.length,
      effects: effects.length,
      rows: table.rowCount,
      tableBytes: table.nets.length + table.machine.length + table.weight.byteLength + table.state.length,
      circuitSeconds: (built - start) / 1000,
      faultsSeconds: (listed - built) / 1000,
      tableSeconds: (end - listed) / 1000,
      tableProcessorSeconds: used / 1e6,
    };
  });
}

/** What a process of its own has to say: its runs, and the most memory it ever held. */
export interface ChildReport {
  readonly runs: readonly TableRun[];
  readonly peakMebibyte: number;
}

/** Makes the table of a board several times in a fresh process. */
export function runInChild(id: string, times: number): ChildReport {
  const script = fileURLToPath(new URL("./measure-table.ts", import.meta.url));
  const child = spawnSync(process.execPath, ["--import", "tsx", script, id, String(times)], {
    encoding: "utf8",
    stdio: ["ignore", "pipe", "inherit"],
  });
  if (child.status !== 0) throw new Error(`measuring ${id} ended with ${child.status ?? child.signal}`);
  const report: unknown = JSON.parse(child.stdout);
  if (!isReport(report))
    throw new Error(`measuring ${id} said something else: ${child.stdout.slice(0, 120)}`);
  return report;
}

function isReport(report: unknown): report is ChildReport {
  return typeof report === "object" && report !== null && "runs" in report && "peakMebibyte" in report;
}

/** Smallest, mean and standard deviation of some figures, rounded to milliseconds. */
export function spread(seconds: readonly number[]): {
  readonly least: number;
  readonly mean: number;
  readonly deviation: number;
} {
  const mean = seconds.reduce((sum, one) => sum + one, 0) / seconds.length;
  const variance = seconds.reduce((sum, one) => sum + (one - mean) ** 2, 0) / seconds.length;
  const round = (value: number): number => Math.round(value * 1000) / 1000;
  return { least: round(Math.min(...seconds)), mean: round(mean), deviation: round(Math.sqrt(variance)) };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [, , id = "", times = "1"] = process.argv;
  const runs = runTable(id, Number(times));
  const peakMebibyte = Math.round(process.resourceUsage().maxRSS / 1024);
  console.log(JSON.stringify({ runs, peakMebibyte } satisfies ChildReport));
}
