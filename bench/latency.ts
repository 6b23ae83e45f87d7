/*
 * Why: says how long a restorer waits after entering a reading: for the new ranking, and for the next steps. Each board
 * is prepared once, then a log grows by the answers to the plan's own questions and every step is timed.
 */
import { writeFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { createRandom } from "../src/core/base/random.js";
import type { CaseEntry } from "../src/core/find/case/case.js";
import { findFaults, usualPairLimits } from "../src/core/find/find.js";
import { answer } from "../src/core/find/practice/answer.js";
import { drawFault } from "../src/core/find/practice/hidden-fault.js";
import { openingEntries, practiceInstruments } from "../src/core/find/practice/play.js";
import { createWorld } from "../src/core/find/practice/world.js";
import { solveCase } from "../src/core/find/solve.js";
import { loadPrepared } from "./practice/load.js";

const { values } = parseArgs({
  options: { cases: { type: "string", default: "12" }, json: { type: "string", default: "" } },
});
const cases = Number(values.cases);
const stepsPerCase = 6;

function median(list: readonly number[]): number {
  const sorted = [...list].sort((a, b) => a - b);
  return Number((sorted[Math.floor(sorted.length / 2)] ?? 0).toFixed(1));
}

function quantile(list: readonly number[], share: number): number {
  const sorted = [...list].sort((a, b) => a - b);
  return Number((sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? 0).toFixed(1));
}

const boards: Record<string, unknown> = {};
for (const board of ["pellow-16", "merrow"]) {
  const started = performance.now();
  const prepared = loadPrepared(board);
  const prepareMilliseconds = performance.now() - started;
  const world = createWorld(prepared);
  const ranking: number[] = [];
  const planning: number[] = [];
  for (let seed = 0; seed < cases; seed += 1) {
    const random = createRandom(seed);
    const hidden = drawFault(world, random, {
      by: seed % 2 === 0 ? "prior" : "even-over-parts",
      onlyShowing: true,
    });
    const entries: CaseEntry[] = openingEntries(hidden, random);
    for (let step = 0; step < stepsPerCase; step += 1) {
      const logged = { instruments: [...practiceInstruments], entries };
      const before = performance.now();
      solveCase(prepared, logged, usualPairLimits);
      const between = performance.now();
      const found = findFaults(prepared, logged);
      const after = performance.now();
      // The first log of a case also settles pairs for the first time; what follows a reading is what is asked for.
      if (step > 0) {
        ranking.push(between - before);
        planning.push(Math.max(0, after - between));
      }
      const next = found.next[0];
      if (next === undefined || next.action === "gate") break;
      const given = answer(hidden, next, random, {});
      entries.push(given.entry);
      if (given.fixed) break;
    }
  }
  boards[board] = {
    prepareMilliseconds: Number(prepareMilliseconds.toFixed(0)),
    readings: ranking.length,
    rankingMedianMilliseconds: median(ranking),
    ranking90Milliseconds: quantile(ranking, 0.9),
    rankingAndNextStepsMedianMilliseconds: median(planning),
    rankingAndNextSteps90Milliseconds: quantile(planning, 0.9),
  };
}
const result = { node: process.version, cases, boards };
if (values.json !== "") writeFileSync(values.json, `${JSON.stringify(result, null, 1)}\n`);
console.log(JSON.stringify(result));
