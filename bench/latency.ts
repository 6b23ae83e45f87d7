/*
 * Why: says how long a restorer waits after entering a reading: for the new ranking, and for the next steps. Each board
 * is prepared once, then a log grows by the answers to the plan's own questions and every step is timed. Processor time
 * stands beside elapsed time, because other work on the machine disturbs it less. Writes bench/results/latency.json, and
 * docs/benches/speed.md from it and from what bench/table.ts and bench/growth.ts have written.
 */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import { createRandom } from "../src/core/base/random.js";
import type { CaseEntry } from "../src/core/find/case/case.js";
import { findFaults, usualPairLimits } from "../src/core/find/find.js";
import { answer } from "../src/core/find/practice/answer.js";
import { drawFault } from "../src/core/find/practice/hidden-fault.js";
import { openingEntries, practiceInstruments } from "../src/core/find/practice/play.js";
import { createWorld } from "../src/core/find/practice/world.js";
import { solveCase } from "../src/core/find/solve.js";
import { loadPrepared } from "./practice/load.js";
import { type LatencyResult, type Spread, speedPage } from "./support/speed-page.js";

const { values } = parseArgs({
  options: {
    cases: { type: "string", default: "12" },
    json: { type: "string", default: join(repositoryRoot, "bench/results/latency.json") },
    page: { type: "string", default: join(repositoryRoot, "docs/benches/speed.md") },
  },
});
const cases = Number(values.cases);
const stepsPerCase = 6;

/** What was timed of one kind of work. */
class Watch {
  private readonly elapsed: number[] = [];
  private readonly processor: number[] = [];

  time<T>(work: () => T): T {
    const before = process.cpuUsage();
    const started = performance.now();
    const result = work();
    this.elapsed.push(performance.now() - started);
    const { user, system } = process.cpuUsage(before);
    this.processor.push((user + system) / 1000);
    return result;
  }

  get count(): number {
    return this.elapsed.length;
  }

  get spread(): Spread {
    return {
      median: quantile(this.elapsed, 0.5),
      nineTenths: quantile(this.elapsed, 0.9),
      most: quantile(this.elapsed, 1),
      processorMedian: quantile(this.processor, 0.5),
    };
  }
}

function quantile(list: readonly number[], share: number): number {
  const sorted = [...list].sort((a, b) => a - b);
  return Number((sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? 0).toFixed(1));
}

const boards: LatencyResult["boards"][number][] = [];
for (const board of ["pellow-16", "merrow"]) {
  const prepare = new Watch();
  const prepared = prepare.time(() => loadPrepared(board));
  const world = createWorld(prepared);
  const first = new Watch();
  const ranking = new Watch();
  const planning = new Watch();
  for (let seed = 0; seed < cases; seed += 1) {
    const random = createRandom(seed);
    const hidden = drawFault(world, random, {
      by: seed % 2 === 0 ? "prior" : "even-over-parts",
      onlyShowing: true,
    });
    const entries: CaseEntry[] = openingEntries(hidden, random);
    for (let step = 0; step < stepsPerCase; step += 1) {
      const logged = { instruments: [...practiceInstruments], entries };
      // The first log of a case settles its pairs for the first time; what follows a reading is timed apart from it.
      (step === 0 ? first : ranking).time(() => solveCase(prepared, logged, usualPairLimits));
      const whole = (): ReturnType<typeof findFaults> => findFaults(prepared, logged);
      const found = step === 0 ? whole() : planning.time(whole);
      const next = found.next[0];
      if (next === undefined || next.action === "gate") break;
      const given = answer(hidden, next, random, {});
      entries.push(given.entry);
      if (given.fixed) break;
    }
  }
  boards.push({
    board,
    prepareMilliseconds: prepare.spread.median,
    readings: ranking.count,
    firstRankingMilliseconds: first.spread,
    rankingMilliseconds: ranking.spread,
    answerMilliseconds: planning.spread,
  });
}
const result: LatencyResult = { node: process.versions.node, cases, boards };
if (values.json !== "") writeFileSync(values.json, `${JSON.stringify(result, null, 2)}\n`);
if (values.page !== "") writeFileSync(values.page, speedPage(result));
console.log(JSON.stringify(result));
