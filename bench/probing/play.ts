import { entropyBits, huffmanLength } from "../../src/core/inference/information.js";
import { chooseProbe } from "../../src/core/inference/probe-choice.js";
import type { ProbeSearchLimits } from "../../src/core/inference/probe-search.js";
import { probeOutcome } from "../../src/core/inference/probe-table.js";
import type { ProbingCase } from "./cases.js";

/** How one case went. */
export interface ProbingGame {
  readonly suspects: number;
  readonly entropyBits: number;
  /** Least mean number of probes that any imaginable probes would need for as many suspects. */
  readonly huffmanProbes: number;
  /** Mean number of probes of the plan made at the start, over all suspects. */
  readonly plannedProbes: number;
  /** Probes made until one suspect was left. */
  readonly probes: number;
  /** True if the plan made at the start is known to be the best. */
  readonly optimal: boolean;
  /** [probes + 1]: elapsed and processor milliseconds of each choice, the last finding nothing more to probe. */
  readonly elapsedMilliseconds: readonly number[];
  readonly processorMilliseconds: readonly number[];
}

/** Probes until one suspect is left, each answered by the true one. Throws if the wrong one or more than one is left. */
export function play(game: ProbingCase, limits?: ProbeSearchLimits): ProbingGame {
  const { table, truth } = game;
  const weights = new Float64Array(table.suspectCount).fill(1 / table.suspectCount);
  const elapsedMilliseconds: number[] = [];
  const processorMilliseconds: number[] = [];
  let plannedProbes = 0;
  let optimal = true;
  let probes = 0;
  for (;;) {
    const started = performance.now();
    const processorStart = process.cpuUsage();
    const choice = chooseProbe(weights, table, limits);
    const processor = process.cpuUsage(processorStart);
    elapsedMilliseconds.push(performance.now() - started);
    processorMilliseconds.push((processor.user + processor.system) / 1000);
    if (choice === undefined) break;
    if (probes === 0) {
      plannedProbes = choice.expectedProbes;
      optimal = choice.optimal;
    }
    probes += 1;
    const seen = probeOutcome(table, choice.probe, truth);
    for (let s = 0; s < weights.length; s += 1) {
      if (probeOutcome(table, choice.probe, s) !== seen) weights[s] = 0;
    }
  }
  const left = Array.from(weights.keys()).filter((s) => (weights[s] ?? 0) > 0);
  if (left.length !== 1 || left[0] !== truth) {
    throw new Error(`suspects ${left.join(", ")} are left, the fault was ${truth}`);
  }
  const start = new Float64Array(table.suspectCount).fill(1 / table.suspectCount);
  return {
    suspects: table.suspectCount,
    entropyBits: entropyBits(start),
    huffmanProbes: huffmanLength(start),
    plannedProbes,
    probes,
    optimal,
    elapsedMilliseconds,
    processorMilliseconds,
  };
}
