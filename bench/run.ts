/*
 * Why: benchmarks are worth little without the machine, the commit and the sizes beside them. This runs the scripts of
 * this folder one after the other and keeps all of that together. See README.md for what a script has to print.
 */
import { execFileSync, spawnSync } from "node:child_process";
import { mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { cpus, totalmem, type } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";

interface BenchResult {
  readonly bench: string;
  readonly seconds: number;
  readonly results: unknown;
}

const folder = join(repositoryRoot, "bench");
const benches = readdirSync(folder)
  .filter((name) => name.endsWith(".ts") && name !== "run.ts" && !name.endsWith(".test.ts"))
  .map((name) => name.replace(/\.ts$/, ""))
  .sort();

function git(...args: string[]): string {
  return execFileSync("git", args, { cwd: repositoryRoot, encoding: "utf8" }).trim();
}

function runBench(bench: string): BenchResult {
  const started = performance.now();
  const run = spawnSync(process.execPath, ["--import", "tsx", join(folder, `${bench}.ts`)], {
    cwd: repositoryRoot,
    encoding: "utf8",
    maxBuffer: 2 ** 28,
    stdio: ["ignore", "pipe", "inherit"],
  });
  const seconds = (performance.now() - started) / 1000;
  if (run.status !== 0) throw new Error(`${bench} ended with code ${run.status ?? run.signal}`);
  const last = run.stdout.trimEnd().split("\n").at(-1) ?? "";
  try {
    const results: unknown = JSON.parse(last);
    return { bench, seconds: Number(seconds.toFixed(2)), results };
  } catch (cause) {
    throw new Error(`the last line of ${bench} must be one JSON object, got: ${last.slice(0, 120)}`, {
      cause,
    });
  }
}

function describeMachine(): object {
  const [first] = cpus();
  const memoryGibibyte = Math.round(totalmem() / 2 ** 30);
  return { processor: first?.model ?? "unknown", cores: cpus().length, memoryGibibyte, system: type() };
}

function main(): void {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: { list: { type: "boolean", default: false }, record: { type: "boolean", default: false } },
  });
  if (values.list) {
    for (const bench of benches) console.log(bench);
    return;
  }
  const unknown = positionals.filter((name) => !benches.includes(name));
  if (unknown.length > 0) {
    console.error(`There is no benchmark called ${unknown.join(", ")}; there are: ${benches.join(", ")}.`);
    process.exitCode = 2;
    return;
  }
  const wanted = positionals.length === 0 ? benches : benches.filter((bench) => positionals.includes(bench));
  const results: BenchResult[] = [];
  for (const bench of wanted) {
    const result = runBench(bench);
    console.log(`${bench} (${result.seconds} s)\n${JSON.stringify(result.results, null, 2)}`);
    results.push(result);
  }
  if (!values.record) return;
  const [date = "", commit = ""] = git("log", "-1", "--format=%cs %h").split(" ");
  const record = {
    date,
    commit,
    uncommittedChanges: git("status", "--porcelain") !== "",
    node: process.versions.node,
    machine: describeMachine(),
    results,
  };
  const path = join(folder, "results", `${date}-${commit}.json`);
  mkdirSync(join(folder, "results"), { recursive: true });
  writeFileSync(path, `${JSON.stringify(record, null, 2)}\n`);
  console.log(`recorded in bench/results/${date}-${commit}.json`);
}

main();
